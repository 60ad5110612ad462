import { createRequire } from "node:module";
import { dirname } from "node:path";

/** What danfojs takes along for its statistics, tensors and spreadsheets: most of its time and memory, and a view asks for none. */
const HEAVY = ["@tensorflow/tfjs", "mathjs", "xlsx"];

/** No value is of this class: it stands for one of a package that nobody has loaded. */
class Nothing {}

/** Stands for a package until something of it is asked for. */
function untilAsked(load: () => Record<PropertyKey, unknown>): Record<PropertyKey, unknown> {
  let found: Record<PropertyKey, unknown> | null = null;
  return new Proxy({}, {
    get(_, key) {
      // A frame asks whether its data are a tensor; before the package is loaded nothing can be one.
      if (found === null && key === "Tensor") return Nothing;
      return (found ??= load())[key];
    },
    has: (_, key) => key in (found ??= load()),
  });
}

/**
 * Loads danfojs without its heavy packages, each of which comes when something of it is first used: the mean of a column, a
 * tensor, a workbook.
 */
export function loadDanfojs(): typeof import("danfojs") {
  const require = createRequire(import.meta.url);
  const within = createRequire(`${dirname(require.resolve("danfojs"))}/`);
  const put = HEAVY.flatMap((name) => {
    const path = within.resolve(name);
    if (require.cache[path] !== undefined) return [];
    const exports = untilAsked(() => within(name));
    require.cache[path] = { id: path, filename: path, loaded: true, exports, children: [] } as never;
    return [path];
  });
  try {
    return require("danfojs");
  } finally {
    for (const path of put) delete require.cache[path];
  }
}
