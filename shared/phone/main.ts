import { config } from "zod";
import type { PadKey } from "../../lib/writeup/phone_keypad.ts";
import { App } from "./app.ts";
import { h } from "./dom.ts";
import type { Kit } from "./kit.ts";
import { filesView } from "./view_files.ts";
import { homeView, optionsView, startView } from "./view_home.ts";
import { outingView } from "./view_outing.ts";
import { signalView } from "./view_signal.ts";

// The page's policy forbids making code out of text.
config({ jitless: true });

/** Starts the page: draws what the address asks for, and again after every change. */
export async function start(kit: Kit): Promise<void> {
  const main = document.querySelector("main")!, head = document.querySelector("header")!;
  const views = {
    home: homeView,
    start: startView,
    outing: outingView,
    signal: signalView,
    files: filesView,
    options: optionsView,
  };
  const draw = (): void => {
    const { theme } = app.options;
    document.documentElement.dataset.theme = theme;
    const key = (document.activeElement as HTMLElement | null)?.dataset?.key;
    const typed = document.activeElement as HTMLInputElement | null;
    const caret = typed?.selectionStart ?? null;
    main.dataset.view = app.place.view;
    main.replaceChildren(
      ...app.alarms().filter((each) => each !== null),
      app.notice === "" ? "" : h("p", { class: "notice", role: "status" }, app.notice),
      ...views[app.place.view](app),
    );
    head.replaceChildren(app.status());
    if (key === undefined) return;
    const again = main.querySelector<HTMLElement>(`[data-key="${CSS.escape(key)}"]`);
    again?.focus({ preventScroll: true });
    if (caret !== null && again instanceof HTMLInputElement && /text|^$/.test(again.type)) {
      again.setSelectionRange(caret, caret);
    }
  };
  const app = new App(kit, draw);
  // Drawing anew takes what is being typed out from under the finger: only the status changes, unless another window wrote.
  app.store.changed = (elsewhere) => {
    const typing = /^(?:INPUT|TEXTAREA)$/.test(document.activeElement?.tagName ?? "");
    if (elsewhere && !typing) draw();
    else head.replaceChildren(app.status());
    if (app.store.state === "full" && main.querySelector(".alarm[role=alert]") === null && !typing) draw();
  };
  addEventListener("hashchange", () => app.addressChanged());
  addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || main.querySelector(".keys") === null) return;
    if (/^(?:INPUT|TEXTAREA)$/.test(document.activeElement?.tagName ?? "")) return;
    const named: Record<string, PadKey> = {
      Backspace: "erase",
      "-": "minus",
      ",": "next",
      x: "none",
      ".": ".",
    };
    const key = /^\d$/.test(event.key) ? event.key : named[event.key];
    const found = key === undefined
      ? null
      : main.querySelector<HTMLElement>(`[data-key="pad-${CSS.escape(key)}"]`);
    if (found === null) return;
    event.preventDefault();
    found.click();
  });
  await app.store.open();
  app.arrive();
  document.documentElement.dataset.ready = "yes";
  // Models are built one by one while nobody waits, so that the first verdict is as quick as the next.
  kit.rules.forEach(({ machine, discrimination }, i) => {
    setTimeout(() => app.ruleFor(machine, discrimination), 100 * (i + 1));
  });
}
