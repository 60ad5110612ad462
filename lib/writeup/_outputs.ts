import { barePicture, withBarePictures } from "./_bare_picture.ts";
import type { KernelMessage } from "./kernel.ts";
import type { CellOutput } from "./notebook.ts";

/** A folder of this machine and the name it goes by in an output. */
export interface Place {
  readonly path: string;
  readonly name: string;
}

/** What the kernel said of an error, before its lines are those of the cell. */
export interface RawError {
  readonly name: string;
  readonly message: string;
  readonly stack: readonly string[];
}

/** Writes folders of this machine by their names, longest path first; `file://` goes with them. */
export function hidePlaces(text: string, places: readonly Place[]): string {
  let out = text;
  for (const { path, name } of [...places].sort((a, b) => b.path.length - a.path.length)) {
    out = out.replaceAll(`file://${path}`, name).replaceAll(path, name);
  }
  return out;
}

/**
 * Turns the kernel's messages into a cell's outputs: neighbouring pieces of one stream are joined, later updates of a
 * display replace it, paths are hidden, pictures come without the metadata of their files, keys of a bundle are sorted. An
 * error is given apart.
 */
export function gatherOutputs(
  messages: readonly KernelMessage[],
  count: number,
  hide: readonly Place[],
): { outputs: CellOutput[]; error: RawError | null } {
  const outputs: CellOutput[] = [];
  const displays = new Map<string, number>();
  let error: RawError | null = null;
  for (const { type, content } of messages) {
    if (type === "stream") {
      const text = hidePlaces(content.text, hide);
      const last = outputs.at(-1);
      if (last?.output_type === "stream" && last.name === content.name) last.text += text;
      else outputs.push({ output_type: "stream", name: content.name, text });
    } else if (type === "display_data" || type === "execute_result" || type === "update_display_data") {
      const { data, metadata = {} } = content;
      const shown = cleanBundle(data, hide);
      const id = content.transient?.display_id;
      const at = id === undefined ? undefined : displays.get(id);
      if (type === "update_display_data") {
        if (at !== undefined) Object.assign(outputs[at]!, { data: shown, metadata });
        continue;
      }
      if (Object.keys(shown).length === 0) continue;
      if (id !== undefined) displays.set(id, outputs.length);
      outputs.push(
        type === "display_data"
          ? { output_type: type, data: shown, metadata }
          : { output_type: type, execution_count: count, data: shown, metadata },
      );
    } else if (type === "clear_output") {
      outputs.length = 0;
    } else if (type === "error" || type === "reply_error") {
      const told = { name: content.ename, message: content.evalue, stack: content.traceback ?? [] };
      const silent = told.name === "Error" && told.message === "Execution failed" && told.stack.length === 0;
      if (!silent) error ??= told;
    }
  }
  return { outputs, error };
}

function cleanBundle(
  data: Readonly<Record<string, unknown>>,
  hide: readonly Place[],
): Record<string, unknown> {
  const out: Record<string, unknown> = {};
  for (const key of Object.keys(data).sort()) {
    const value = data[key];
    if (typeof value !== "string") out[key] = value;
    else if (key === "image/svg+xml") out[key] = hidePlaces(withBarePictures(svgFile(value)), hide);
    else if (key.startsWith("image/")) {
      // No page shows another kind, and nobody knows what its file brings along.
      const bare = barePicture(key.slice("image/".length), value);
      if (bare !== null) out[key] = bare;
    } else out[key] = hidePlaces(withBarePictures(value), hide);
  }
  return out;
}

/** A drawing that can stand as a file: Plot's name no namespace, and without one no program takes them for a picture. */
function svgFile(text: string): string {
  return text.replace(/<svg\b((?:"[^"]*"|'[^']*'|[^'">])*)>/, (whole, attributes: string) => {
    const names = attributes.replace(/"[^"]*"|'[^']*'/g, '""');
    const missing = [
      ...(/\sxmlns\s*=/.test(names) ? [] : ['xmlns="http://www.w3.org/2000/svg"']),
      ...(!text.includes("xlink:") || /\sxmlns:xlink\s*=/.test(names)
        ? []
        : ['xmlns:xlink="http://www.w3.org/1999/xlink"']),
    ];
    return ["<svg", ...missing].join(" ") + whole.slice("<svg".length);
  });
}
