import type { Provenance } from "./provenance.ts";

/** A text as a double-quoted scalar of YAML 1.2, which takes the escapes of JSON. */
const quoted = (text: string): string => JSON.stringify(text);

/**
 * Writes `CITATION.cff` (format 1.2.0) for a write-up: title, author by the name of their choice, the licence of the data.
 *
 * An author who gave no name is written as "The detectorist". A date stands in it only where one was given.
 *
 * @example
 * ```ts
 * import { citationFile, provenance } from "./mod.ts";
 * const made = provenance({ inputs: [], notebooks: [], seed: 1, command: "deno task season", packageJson: "{}", packageLock: "{}" });
 * if (!citationFile({ ...made, page: { title: "A season" } }).includes('title: "A season"')) throw new Error("wrong");
 * ```
 */
export function citationFile(made: Provenance): string {
  const { title = "A write-up", author, date } = made.page ?? {};
  return [
    "cff-version: 1.2.0",
    'message: "If you use this write-up or its data, please cite it as below."',
    "type: dataset",
    `title: ${quoted(title)}`,
    "authors:",
    `  - alias: ${quoted(author ?? ANONYMOUS)}`,
    ...(date === undefined ? [] : [`date-released: ${quoted(date)}`]),
    "license: CC-BY-4.0",
    "",
  ].join("\n");
}

/** Who signs when nobody does. */
export const ANONYMOUS = "The detectorist";

/** A citation as text and as an entry of BibTeX. */
export function citationTexts(made: Provenance): { readonly text: string; readonly bibtex: string } {
  const { title = "A write-up", author = ANONYMOUS, date } = made.page ?? {};
  const version = made.versions.overiron ?? "";
  const year = date?.slice(0, 4);
  // The hash tells one write-up from another where no address and no date does.
  const mark = (made.inputs[0]?.sha256 ?? "").slice(0, 12);
  const note = `Write-up made with overiron ${version}, seed ${made.seed}${
    mark === "" ? "" : `, log SHA-256 ${mark}`
  }`;
  const latex = (text: string): string =>
    text.replace(/[\\{}]/g, "").replace(/[&%$#_]/g, (mark) => `\\${mark}`).replace(/[~^]/g, " ");
  return {
    text: `${author}${year === undefined ? "" : ` (${year})`}. ${title}. ${note}.`,
    bibtex: [
      "@misc{overiron-write-up,",
      `  title = {${latex(title)}},`,
      `  author = {{${latex(author)}}},`,
      ...(year === undefined ? [] : [`  year = {${year}},`]),
      `  note = {${latex(note)}}`,
      "}",
    ].join("\n"),
  };
}
