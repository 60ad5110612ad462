const BASE64 = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/** A place in generated text and the line of the original it came from, all from 1. */
interface Mapping {
  readonly line: number;
  readonly column: number;
  readonly original: number;
}

/** Reads the `mappings` of a source map (ECMA-426, version 3). */
function readMappings(mappings: string): Mapping[] {
  const out: Mapping[] = [];
  let original = 0;
  mappings.split(";").forEach((group, i) => {
    let column = 0;
    for (const segment of group === "" ? [] : group.split(",")) {
      const fields: number[] = [];
      let value = 0, shift = 0;
      for (const letter of segment) {
        const digit = BASE64.indexOf(letter);
        value += (digit & 31) * 2 ** shift;
        shift += 5;
        if ((digit & 32) !== 0) continue;
        fields.push(value % 2 === 1 ? -Math.floor(value / 2) : value / 2);
        value = shift = 0;
      }
      column += fields[0] ?? 0;
      if (fields.length < 4) continue;
      original += fields[2]!;
      out.push({ line: i + 1, column: column + 1, original: original + 1 });
    }
  });
  return out;
}

/**
 * Finds which line of a cell a line of the kernel's own JavaScript is. The kernel transpiles a cell without keeping a
 * source map, so the same Deno does it once more, this time with one. Null where that cannot be told.
 */
export async function sourceLines(sent: string): Promise<(line: number, column: number) => number | null> {
  const folder = await Deno.makeTempDir({ prefix: "overiron-cell-" });
  try {
    await Deno.writeTextFile(`${folder}/cell.ts`, sent);
    const { stdout, success } = await new Deno.Command(Deno.execPath(), {
      args: ["transpile", "--quiet", "--no-config", "--source-map", "inline", `${folder}/cell.ts`],
      stdout: "piped",
      stderr: "null",
    }).output();
    const found = /sourceMappingURL=data:application\/json;base64,([A-Za-z0-9+/=]+)/.exec(
      new TextDecoder().decode(stdout),
    );
    if (!success || !found) return () => null;
    const json = new TextDecoder().decode(Uint8Array.from(atob(found[1]!), (letter) => letter.charCodeAt(0)));
    const mappings = readMappings(JSON.parse(json).mappings);
    return (line, column) => {
      const before = mappings.filter((each) => each.line === line && each.column <= column).at(-1);
      return (before ?? mappings.find((each) => each.line === line))?.original ?? null;
    };
  } catch {
    return () => null;
  } finally {
    await Deno.remove(folder, { recursive: true }).catch(() => {});
  }
}
