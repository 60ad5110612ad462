import { createHash } from "node:crypto";
import { type FieldRules, packModel } from "../decide/mod.ts";
import type { MachinesFile } from "../log/mod.ts";
import { cautionsUnder } from "./field_stop_rules.ts";
import { sharedText } from "./_shared_text.ts";

/** What a phone page is made of. */
export interface PhonePageParts {
  readonly machines: MachinesFile;
  /** Rules learnt from a log; without them the page records and says nothing. */
  readonly rules?: FieldRules;
  /** How many holes a good find is worth to the person, until they say otherwise on the phone. Default: nothing is taken for granted. */
  readonly worth?: number;
}

const hashOf = (text: string): string => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;

/** The page's light and dark colours are the theme's; a person may hold one of them fast. */
function themeColours(): string {
  const theme = sharedText("theme.css");
  const light = /:root \{\n([\s\S]*?)\n\}/.exec(theme)?.[1];
  const dark = /@media \(prefers-color-scheme: dark\) \{\s*:root \{\n([\s\S]*?)\n {2}\}/.exec(theme)?.[1];
  if (light === undefined || dark === undefined) {
    throw new RangeError("Cannot make a phone page: the theme must have a light and a dark set of colours");
  }
  return `:root {\n${light}\n}\n@media (prefers-color-scheme: dark) {\n:root:not([data-theme="sun"]) {\n${dark}\n}\n}
:root[data-theme="dark"] {\n${dark}\ncolor-scheme: dark;\n}\n:root[data-theme="sun"] { color-scheme: light; }\n`;
}

/** The script of the page, from the project's own modules: what the page works out is what the library works out. */
async function bundle(): Promise<string> {
  const { rolldown } = await import("rolldown");
  const root = new URL("../..", import.meta.url).pathname;
  const build = await rolldown({
    input: `${root}shared/phone/main.ts`,
    cwd: root,
    platform: "browser",
    external: ["ml-random-forest"],
    treeshake: { moduleSideEffects: false },
    logLevel: "silent",
  });
  try {
    const { output } = await build.generate({
      format: "iife",
      name: "page",
      minify: true,
      codeSplitting: false,
    });
    return output[0].code.trim();
  } finally {
    await build.close();
  }
}

/** Notes that a person wrote about machines stay at home. */
function withoutNotes(machines: MachinesFile): MachinesFile {
  const bare = <T extends object>(entry: T): T => ({ ...entry, notes: undefined });
  return { ...machines, machines: machines.machines.map(bare), settings: machines.settings.map(bare) };
}

/**
 * Makes the phone page: one HTML file that records signals, keeps them on the phone, and carries a rule where one is given.
 *
 * The page works from a file or a server and asks nothing of any network: its policy allows its one script and its one style, each by
 * hash, and nothing else. Script and numbers come from the project's own modules. The same parts give the same bytes.
 *
 * Throws RangeError where no machine is described, or where a rule is for a machine that the machines file does not know.
 *
 * @example
 * ```ts
 * import { phonePage } from "./phone_page.ts";
 * let message = "";
 * try { await phonePage({ machines: { schema: "overiron-machines/1", machines: [], settings: [] } }); } catch (error) { message = (error as Error).message; }
 * if (!message.endsWith("must describe a machine, got none")) throw new Error(message);
 * ```
 */
export async function phonePage(parts: PhonePageParts): Promise<string> {
  const { machines, rules } = parts;
  if (machines.machines.length === 0) {
    throw new RangeError("Cannot make a phone page: the machines file must describe a machine, got none");
  }
  const here = new Set(machines.machines.map(({ machine }) => machine));
  const carried = (rules?.rules ?? []).filter(({ machine }) => here.has(machine));
  if (rules !== undefined && carried.length === 0) {
    const learnt = [...new Set(rules.rules.map(({ machine }) => machine))].join(", ");
    throw new RangeError(
      `Cannot make a phone page: the rules are for ${
        learnt || "no machine"
      }, and the machines file describes ${[...here].join(", ")}`,
    );
  }
  const kit = {
    machines: withoutNotes(machines),
    ruleMachines: rules?.machines ?? null,
    rules: carried.map((rule) => ({ ...rule, card: null, stepCard: null, model: packModel(rule.model) })),
    stop: cautionsUnder("Stop"),
    care: cautionsUnder("Dig with care"),
    read: cautionsUnder("Read with care"),
    worth: parts.worth ?? null,
    version: "1",
  };
  const data = JSON.stringify(JSON.stringify(kit)).replaceAll("<", "\\u003c").replaceAll("\u2028", "\\u2028")
    .replaceAll("\u2029", "\\u2029");
  const script = `${
    (await bundle()).replaceAll("</script", "<\\/script").replaceAll("<!--", "<\\!--")
  }\npage.start(JSON.parse(${data}));`;
  const style = `${themeColours()}${sharedText("phone.css")}`;
  const policy = `default-src 'none'; script-src ${hashOf(script)}; style-src ${
    hashOf(style)
  }; img-src data:; base-uri 'none'; form-action 'none'`;
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<meta name="mobile-web-app-capable" content="yes">
<meta name="apple-mobile-web-app-capable" content="yes">
<meta name="format-detection" content="telephone=no">
<link rel="icon" href="data:,">
<title>Dig log</title>
<style>${style}</style>
</head>
<body>
<header></header>
<main><noscript><p>This page writes your log with its one script. Allow scripts for this file.</p></noscript></main>
<script>${script}</script>
</body>
</html>
`;
}
