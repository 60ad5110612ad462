import { type OpenRule, openRule } from "../../lib/decide/verdict.ts";
import { unpackModel } from "../../lib/decide/verdict_pack.ts";
import type { Machine, SettingsSet } from "../../lib/log/machines.ts";
import type { PhoneOuting, PhoneSignal } from "../../lib/writeup/phone_log.ts";
import { button, h, many } from "./dom.ts";
import type { Kit } from "./kit.ts";
import { type Kind, Store } from "./store.ts";

/** Which page of the page: kept in the address, so that the phone's own back button works. */
export interface Place {
  readonly view: "home" | "start" | "outing" | "signal" | "files" | "options";
  readonly id?: string;
  readonly step?: string;
}

/** What the person chose once, for this phone. */
export interface Options {
  readonly theme: "phone" | "sun" | "dark";
  /** Holes that a good find is worth to the person; null until they say so. */
  readonly worth: number | null;
  readonly callFirst: boolean;
  readonly coordinates: boolean;
}

const OPTIONS = "overiron-field-options";
const defaults: Options = { theme: "phone", worth: null, callFirst: true, coordinates: false };

/** Everything a view needs: what is stored, what was chosen, and how to go elsewhere. */
export class App {
  readonly store = new Store();
  options: Options = defaults;
  place: Place = { view: "home" };
  /** A word for the person, spoken by screen readers; cleared when they go on. */
  notice = "";
  /** What the keypad writes into, where the view has several cells. */
  padAt: string | null = null;
  /** What asks for a second step before it is done. */
  asking: string | null = null;
  readonly #undo: { kind: Kind; id: string; path: (string | number)[]; old: string | boolean | null }[] = [];
  readonly #rules = new Map<string, OpenRule>();
  #drawn = "";

  constructor(readonly kit: Kit, readonly draw: () => void) {
    try {
      this.options = { ...defaults, worth: kit.worth, ...JSON.parse(localStorage.getItem(OPTIONS) ?? "{}") };
    } catch {
      // Chosen again, then.
    }
  }

  choose(change: Partial<Options>): void {
    this.options = { ...this.options, ...change };
    try {
      localStorage.setItem(OPTIONS, JSON.stringify(this.options));
    } catch {
      this.notice = "The phone keeps no options: they hold until the page is closed.";
    }
    this.draw();
  }

  go(place: Place): void {
    const parts = [place.view, place.id, place.step].filter((part) => part !== undefined).map(
      encodeURIComponent,
    );
    this.notice = "";
    this.asking = null;
    const hash = `#${parts.join("/")}`;
    if (location.hash !== hash) location.hash = hash;
    // Drawn at once: the browser tells of the new address only later.
    this.arrive();
  }

  /** The address was changed, by this page or by the phone's own back button. */
  addressChanged(): void {
    if (location.hash !== this.#drawn) this.arrive();
  }

  arrive(): void {
    this.#drawn = location.hash;
    const [view = "", id, step] = location.hash.slice(1).split("/").map(decodeURIComponent);
    const views = ["home", "start", "outing", "signal", "files", "options"];
    const place = {
      view: (views.includes(view) ? view : "home") as Place["view"],
      ...(id ? { id } : {}),
      ...(step ? { step } : {}),
    };
    const known = place.view === "signal"
      ? this.store.signals.has(id ?? "")
      : place.view === "outing"
      ? this.store.outings.has(id ?? "")
      : true;
    this.place = known ? place : { view: "home" };
    this.padAt = null;
    this.draw();
    // With the next picture, not before it: both ask for the page to be laid out, and that is done once.
    const focused = document.activeElement;
    requestAnimationFrame(() => {
      scrollTo(0, 0);
      if (document.activeElement !== focused) return;
      document.querySelector<HTMLElement>("h1")?.focus({ preventScroll: true });
    });
  }

  /** Changes one place of a record; `put(..., null)` empties it. */
  put(
    kind: Kind,
    id: string,
    path: (string | number)[],
    value: string | boolean | null,
    options: { quiet?: boolean } = {},
  ): void {
    const record = kind === "outings" ? this.store.outings.get(id) : this.store.signals.get(id);
    const old = path.reduce<unknown>(
      (at, part) => (at as Record<string, unknown> | undefined)?.[part],
      record,
    );
    this.#undo.push({ kind, id, path, old: (old ?? null) as string | boolean | null });
    if (this.#undo.length > 200) this.#undo.shift();
    this.store.patch(kind, id, { path, value });
    if (!options.quiet) this.draw();
  }

  undoable(id: string): boolean {
    return this.#undo.at(-1)?.id === id;
  }

  undo(): void {
    const last = this.#undo.pop();
    if (last === undefined) return;
    this.store.patch(last.kind, last.id, { path: last.path, value: last.old });
    this.notice = "Taken back.";
    this.draw();
  }

  signalsOf(outing: string): PhoneSignal[] {
    return [...this.store.signals.values()].filter((each) => each.outing === outing && !each.deleted)
      .sort((a, b) => a.number - b.number);
  }

  settingsOf(outing: PhoneOuting): SettingsSet | undefined {
    return this.kit.machines.settings.find(({ settings }) => settings === outing.values.settings);
  }

  machineOf(outing: PhoneOuting): Machine {
    const name = this.settingsOf(outing)?.machine ?? outing.values.machine;
    return this.kit.machines.machines.find(({ machine }) => machine === name) ??
      this.kit.machines.machines[0]!;
  }

  /** The rule for a machine and discrimination, its model built when it is first asked. */
  ruleFor(machine: string, discrimination: string): OpenRule | "broken" | null {
    const rule = this.kit.rules.find((each) =>
      each.machine === machine && each.discrimination === discrimination
    );
    if (rule === undefined || this.kit.ruleMachines === null) return null;
    let open = this.#rules.get(rule.version);
    if (open === undefined) {
      try {
        open = openRule({ ...rule, model: unpackModel(rule.model) }, this.kit.ruleMachines);
      } catch {
        return "broken";
      }
      this.#rules.set(rule.version, open);
    }
    return open;
  }

  /** A word on the phone's storage, and what no file holds yet. */
  status(): HTMLElement {
    const { state } = this.store;
    const unsaved = this.store.unsaved();
    const kept = state === "stored"
      ? "Stored on this phone"
      : state === "storing"
      ? "Storing..."
      : state === "full"
      ? "NOT STORED"
      : "NOT STORED";
    return h(
      "p",
      { class: "status", "data-state": state, "data-unsaved": unsaved },
      h("span", { class: "kept" }, kept),
      h(
        "span",
        { class: unsaved > 0 ? "unsaved" : "" },
        unsaved === 0 ? "All in a file" : `${unsaved} not in a file`,
      ),
    );
  }

  /** What must be said on every view: storage that fails, and a record that stands on this phone alone. */
  alarms(): (HTMLElement | null)[] {
    const { state } = this.store;
    const unsaved = this.store.unsaved();
    const save = () => this.go({ view: "files" });
    return [
      state === "full"
        ? h(
          "div",
          { class: "alarm", role: "alert" },
          h(
            "p",
            {},
            "This phone did not store the last change: its storage is full or closed. It is still in this window. Do not close it; save to a file now. It is tried again every two seconds.",
          ),
          button("Save to a file", save),
        )
        : null,
      state === "none"
        ? h(
          "div",
          { class: "alarm", role: "alert" },
          h(
            "p",
            {},
            "This browser gives the page no storage (a private window?). What you write is lost when the page closes: save to a file often.",
          ),
          button("Save to a file", save),
        )
        : null,
      state !== "full" && unsaved >= 10 && this.place.view !== "files" && this.place.view !== "signal"
        ? h(
          "div",
          { class: "remind" },
          h(
            "p",
            {},
            `${many(unsaved, "signal")} are on this phone only. A phone can drown: save them to a file.`,
          ),
          button("Save to a file", save),
        )
        : null,
    ];
  }
}

/** The phone's clock in its own zone; the person can put another date on an outing. */
export function phoneClock(): { date: string; time: string } {
  const now = new Date();
  const two = (value: number): string => String(value).padStart(2, "0");
  return {
    date: `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`,
    time: `${two(now.getHours())}:${two(now.getMinutes())}`,
  };
}
