import { readFileSync } from "node:fs";

const known = new Map<string, string>();

/** The text of a file in the project's `shared/` folder. */
export function sharedText(name: string): string {
  let text = known.get(name);
  if (text === undefined) {
    text = readFileSync(new URL(`../../shared/${name}`, import.meta.url), "utf8").replaceAll("\r\n", "\n");
    known.set(name, text);
  }
  return text;
}
