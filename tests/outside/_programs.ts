/** Finds a program on the search path; null where it is absent. */
export function programPath(names: readonly string[]): string | null {
  for (const folder of (Deno.env.get("PATH") ?? "").split(":")) {
    for (const name of names) {
      try {
        if (Deno.statSync(`${folder}/${name}`).isFile) return `${folder}/${name}`;
      } catch {
        // Not in this folder.
      }
    }
  }
  return null;
}

/** Chromium, or a browser of its family. */
export function chromiumPath(): string | null {
  return programPath(["chromium", "chromium-browser", "google-chrome"]);
}

/** Whether an absent outside program must fail a test rather than leave it out. */
export function mustHavePrograms(): boolean {
  return Deno.env.get("CI") === "true";
}
