import { createHash } from "node:crypto";
import type { SeasonParameters } from "./season_parameters.ts";

/** A file that went into a run, by its role and not by its name. */
export interface ProvenanceInput {
  /** "dig-log", "garden-log", "machines" and so on. */
  readonly role: string;
  readonly sha256: string;
  readonly bytes: number;
  /** Rows, accepted, rejected, blank and so on, by name. */
  readonly counts: Readonly<Record<string, number>>;
}

/** What the page says about itself: all that a reader sees and no log or notebook holds. */
export interface AboutPage {
  readonly title: string;
  /** Who signs, under a name of their choice. */
  readonly author?: string;
  /** The day of publishing, YYYY-MM-DD, where one was given. */
  readonly date?: string;
  /** The last month of the data, YYYY-MM, where they name one. */
  readonly dataUntil?: string;
  /** What a reader must know first, a sentence each. */
  readonly notices?: readonly string[];
  /** Notebooks that could not be part of it, and why. */
  readonly leftOut?: readonly { readonly title: string; readonly reason: string }[];
}

/** How a write-up was made: enough to make it again, nothing about where or when. */
export interface Provenance {
  readonly schema: "overiron-provenance/1";
  readonly inputs: readonly ProvenanceInput[];
  readonly notebooks: readonly { readonly name: string; readonly sha256: string }[];
  readonly seed: number;
  /** The task and the roles of its files: "deno task season DIG-LOG --trials GARDEN-LOG". */
  readonly command: string;
  readonly versions: Readonly<Record<string, string>>;
  /** What became of the rows of each log. */
  readonly rows?: readonly (Readonly<Record<string, number | string>> & { readonly role: string })[];
  /** What the person set for the notebooks; absent where everything was as the notebooks declare it. */
  readonly parameters?: SeasonParameters;
  readonly page?: AboutPage;
  /** SHA-256 of every other file of the write-up, by relative path. Only in the file, not on the page. */
  readonly files?: Readonly<Record<string, string>>;
}

export interface ProvenanceParts {
  readonly inputs: readonly {
    readonly role: string;
    readonly bytes: Uint8Array;
    readonly counts?: Readonly<Record<string, number>>;
  }[];
  /** Name and text of each notebook as it was before it ran. */
  readonly notebooks: readonly { readonly name: string; readonly text: string }[];
  readonly seed: number;
  /** Words of the command; a file stands in it by its role in capitals. */
  readonly command: string;
  /** The text of `package.json`; its dependencies are listed with the versions found in `packageLock`. */
  readonly packageJson: string;
  /** The text of `package-lock.json`. */
  readonly packageLock: string;
}

/** The SHA-256 of bytes or of a text as UTF-8, in hexadecimal. */
export function sha256(data: Uint8Array | string): string {
  return createHash("sha256").update(data).digest("hex");
}

/**
 * Records how a write-up was made: inputs by role with hash and counts, notebooks by hash, versions, seed and command.
 * No clock, host, folder or file name enters it.
 *
 * Throws SyntaxError where one of the package files is not JSON, RangeError where a command names something like a path.
 *
 * @example
 * ```ts
 * import { provenance } from "./mod.ts";
 * const packages = { packageJson: '{"dependencies":{"zod":"4"}}', packageLock: '{"packages":{"node_modules/zod":{"version":"4.0.1"}}}' };
 * const made = provenance({ inputs: [], notebooks: [], seed: 1, command: "deno task season DIG-LOG", ...packages });
 * if (made.versions.zod !== "4.0.1") throw new Error("wrong");
 * ```
 */
export function provenance(parts: ProvenanceParts): Provenance {
  const { inputs, notebooks, seed, command, packageJson, packageLock } = parts;
  // A number may have a decimal point; what follows the point of a file's name holds a letter.
  if (/[/\\~]|\.\w*[A-Za-z_]\w*/.test(command)) {
    throw new RangeError(
      `Cannot record command: it must name roles and no files, got ${JSON.stringify(command)}`,
    );
  }
  const wanted = JSON.parse(packageJson);
  const locked = JSON.parse(packageLock).packages ?? {};
  const versions: Record<string, string> = {};
  for (const name of Object.keys(wanted.dependencies ?? {}).sort()) {
    const version = locked[`node_modules/${name}`]?.version;
    if (typeof version === "string") versions[name] = version;
  }
  if (typeof wanted.version === "string") versions.overiron = wanted.version;
  return {
    schema: "overiron-provenance/1",
    inputs: inputs.map(({ role, bytes, counts = {} }) => ({
      role,
      sha256: sha256(bytes),
      bytes: bytes.length,
      counts,
    })),
    notebooks: notebooks.map(({ name, text }) => ({ name, sha256: sha256(text) })),
    seed,
    command,
    versions: { ...versions, deno: Deno.version.deno, v8: Deno.version.v8 },
  };
}
