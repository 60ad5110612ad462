import hljs from "highlight.js/lib/core";
import typescript from "highlight.js/lib/languages/typescript";

hljs.registerLanguage("typescript", typescript);

/** Colours TypeScript as HTML spans; everything is escaped. */
export function highlight(code: string): string {
  return hljs.highlight(code, { language: "typescript", ignoreIllegals: true }).value;
}
