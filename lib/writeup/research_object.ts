import { ANONYMOUS } from "./citation_file.ts";
import type { Provenance } from "./provenance.ts";

const MEDIA_TYPES: Readonly<Record<string, string>> = {
  html: "text/html",
  json: "application/json",
  csv: "text/csv",
  ipynb: "application/x-ipynb+json",
  cff: "application/yaml",
};

const LICENCE = "https://creativecommons.org/licenses/by/4.0/";

const NOT_BEFORE = "2026";

/**
 * Writes `ro-crate-metadata.json` for a write-up by the RO-Crate Metadata Specification 1.2
 * (https://w3id.org/ro/crate/1.2): the folder, every file in it, who made it and the program it was made with.
 *
 * The specification wants a date of publishing. Where none was given it is the last month of the data, since no clock enters
 * a write-up; where the data name none either, the year before which this program wrote none.
 */
export function researchObject(parts: {
  readonly provenance: Provenance;
  /** The descriptor of the data, for what it says of its tables. */
  readonly data: {
    readonly resources?: readonly { readonly path?: string; readonly description?: string }[];
  };
  readonly files: readonly { readonly path: string; readonly bytes: number }[];
}): string {
  const { provenance: made, data, files } = parts;
  const { title = "A write-up", author = ANONYMOUS, date } = made.page ?? {};
  const about = new Map((data.resources ?? []).map(({ path, description }) => [`data/${path}`, description]));
  const names: Readonly<Record<string, string>> = {
    "index.html": "The write-up, one page to read",
    "results.json": "Every number of the text with its interval and counts",
    "predictions.csv": "What each model said of each signal it had not learnt from",
    "data/datapackage.json": "Description of the data (Data Package 2.0)",
    "CITATION.cff": "How to cite this write-up",
  };
  const entity = (path: string, bytes?: number): Record<string, unknown> => ({
    "@id": path,
    "@type": path.endsWith(".ipynb") ? ["File", "SoftwareSourceCode"] : "File",
    name: names[path] ?? about.get(path) ??
      (path.endsWith(".ipynb") ? `Notebook ${path.slice(10, -6)}, as run` : path),
    encodingFormat: MEDIA_TYPES[path.slice(path.lastIndexOf(".") + 1)] ?? "text/plain",
    ...(bytes === undefined ? {} : { contentSize: String(bytes) }),
  });
  const listed = [
    ...files.map(({ path, bytes }) => entity(path, bytes)),
    { ...entity("provenance.json"), name: "How the write-up was made" },
  ];
  const graph = [
    {
      "@id": "ro-crate-metadata.json",
      "@type": "CreativeWork",
      conformsTo: { "@id": "https://w3id.org/ro/crate/1.2" },
      about: { "@id": "./" },
    },
    {
      "@id": "./",
      "@type": "Dataset",
      name: title,
      description:
        "A write-up of a metal-detecting season: logs without what is private, the notebooks that were run on them, and a page to read.",
      datePublished: date ?? made.page?.dataUntil ?? NOT_BEFORE,
      license: { "@id": LICENCE },
      author: { "@id": "#author" },
      mainEntity: { "@id": "index.html" },
      hasPart: listed.map((each) => ({ "@id": each["@id"] })),
    },
    { "@id": LICENCE, "@type": "CreativeWork", name: "Creative Commons Attribution 4.0 International" },
    { "@id": "#author", "@type": "Person", name: author },
    {
      "@id": "#overiron",
      "@type": "SoftwareApplication",
      name: "overiron",
      version: made.versions.overiron ?? "unknown",
    },
    {
      "@id": "#run",
      "@type": "CreateAction",
      name: made.command,
      instrument: { "@id": "#overiron" },
      agent: { "@id": "#author" },
      object: listed.map((each) => String(each["@id"])).filter((path) => path.startsWith("data/")).map((
        path,
      ) => ({
        "@id": path,
      })),
      result: [{ "@id": "index.html" }, { "@id": "results.json" }],
    },
    ...listed,
  ];
  return `${
    JSON.stringify({ "@context": "https://w3id.org/ro/crate/1.2/context", "@graph": graph }, null, 2)
  }\n`;
}
