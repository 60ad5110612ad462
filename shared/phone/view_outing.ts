import { type App, phoneClock } from "./app.ts";
import { button, choices, entry, h, many } from "./dom.ts";
import { gateAlarm, gateFields } from "./gate.ts";
import { pad } from "./pad.ts";
import { shownCell } from "./pad.ts";

export async function newSignal(app: App, outing: string): Promise<void> {
  const clock = phoneClock();
  // Where the person put another date than the phone's, its clock is not to be trusted.
  const trusted = app.store.outings.get(outing)?.values.date === clock.date;
  const id = await app.store.nextSignal(outing, trusted ? { seen_at: clock.time } : {});
  app.go({ view: "signal", id, step: "passes" });
}

/** What stands in the list of signals: enough to know it again. */
function signalLine(app: App, id: string): HTMLElement {
  const signal = app.store.signals.get(id)!;
  const { values, finds, number } = signal;
  const readings = [values.readings_right, values.readings_left].map(shownCell).filter(Boolean).join(" | ");
  const hole = values.dug === "yes"
    ? finds[0]?.what ??
      (finds[0]?.metal === undefined ? values.result ?? "dug" : finds[0].metal)
    : values.dug === "stopped"
    ? "stopped"
    : values.dug === "no"
    ? "not dug"
    : "hole open";
  return h(
    "li",
    {},
    h(
      "button",
      {
        type: "button",
        "data-key": `signal-${id}`,
        on: { click: () => app.go({ view: "signal", id, step: "passes" }) },
      },
      h("b", {}, `${number}. ${readings || "no readings"}`),
      h(
        "span",
        {},
        `${hole === "non-ferrous" ? hole : hole.replaceAll("-", " ")}${
          app.store.inFile(signal) ? "" : ", not in a file"
        }`,
      ),
    ),
  );
}

export function outingView(app: App): HTMLElement[] {
  const outing = app.store.outings.get(app.place.id!)!;
  const { id, values, ended } = outing;
  const signals = app.signalsOf(id);
  if (app.place.step === "end") return endView(app);
  if (app.place.step === "check") return checkView(app);
  if (app.place.step === "gate") return gateView(app);
  const remove = app.asking === "delete-outing"
    ? h(
      "div",
      { class: "alarm" },
      h(
        "p",
        {},
        `Delete this outing with its ${
          many(signals.length, "signal")
        } from the phone? A saved file keeps them; nothing else does.`,
      ),
      h(
        "div",
        { class: "row of2" },
        button("Keep it", () => {
          app.asking = null;
          app.draw();
        }),
        button("Delete it", () => {
          for (const signal of signals) app.put("signals", signal.id, ["deleted"], true, { quiet: true });
          app.put("outings", id, ["deleted"], true, { quiet: true });
          app.go({ view: "home" });
        }, { class: "danger" }),
      ),
    )
    : button("Delete outing", () => {
      app.asking = "delete-outing";
      app.draw();
    }, { class: "quiet" });
  return [
    h("h1", { tabindex: "-1" }, `${values.site ?? "No site"}, ${values.date ?? "no date"}`),
    h(
      "p",
      { class: "soft" },
      `${values.settings ?? values.machine ?? ""}${values.moisture ? `, ${values.moisture} ground` : ""}. ${
        many(signals.length, "signal")
      }.`,
    ),
    gateAlarm(values),
    h(
      "div",
      { class: "row" },
      button("Details", () => app.go({ view: "outing", id, step: "gate" })),
      button(
        values.check_start ? "Check piece" : "Check piece first",
        () => app.go({ view: "outing", id, step: "check" }),
      ),
      button(ended ? "Ended" : "End outing", () => app.go({ view: "outing", id, step: "end" })),
    ),
    signals.length === 0
      ? h("p", { class: "soft" }, "No signal yet.")
      : h("ul", { class: "list" }, [...signals].reverse().map((signal) => signalLine(app, signal.id))),
    remove,
    h(
      "div",
      { class: "bar" },
      button("Home", () => app.go({ view: "home" })),
      button("New signal", () => void newSignal(app, id), { class: "main" }),
    ),
  ].filter((each) => each !== null);
}

/** The facts of the outing, to be put right at any time: a date from a clock that was wrong, a number read off later. */
function gateView(app: App): HTMLElement[] {
  const { id, values } = app.store.outings.get(app.place.id!)!;
  const put = (quiet: boolean) => (name: string, value: string | null): void =>
    app.put("outings", id, ["values", name], value || null, { quiet });
  const sites = [...app.store.outings.values()].flatMap((each) => each.deleted ? [] : each.values.site ?? []);
  return [
    h("h1", { tabindex: "-1" }, "Details of the outing"),
    h(
      "p",
      { class: "soft" },
      `Settings ${values.settings ?? values.machine ?? "not named"} stay as they are.`,
    ),
    gateAlarm(values),
    ...gateFields({ values, sites: [...new Set(sites)], put: put(true), choose: put(false) }),
    h("div", { class: "bar" }, button("Back", () => app.go({ view: "outing", id }), { class: "main" })),
  ].filter((each) => each !== null);
}

function checkView(app: App): HTMLElement[] {
  const { id, values } = app.store.outings.get(app.place.id!)!;
  const names = ["check_start", "check_end"];
  const at = app.padAt ?? (values.check_start ? "check_end" : "check_start");
  const keypad = pad({
    cells: names.map((name, i) => ({
      name,
      label: i === 0 ? "At the start" : "At the end",
      value: values[name],
    })),
    at,
    scale: app.machineOf(app.store.outings.get(id)!).scale,
    choose: (name) => {
      app.padAt = name;
      app.draw();
    },
    write: (name, value) => {
      app.padAt = name;
      app.put("outings", id, ["values", name], value || null);
    },
    onward: { text: "done", go: () => app.go({ view: "outing", id }) },
  });
  return [
    h("h1", { tabindex: "-1" }, "Check piece"),
    h(
      "p",
      { class: "soft" },
      "The same piece, the same height, at the start and at the end: it shows whether the machine stayed the same.",
    ),
    keypad.cells,
    keypad.keys,
  ];
}

/** Holes of an outing: dug to their end, and those where the person stopped. */
export function holesOf(app: App, outing: string): { readonly dug: number; readonly stopped: number } {
  const count = (word: string): number =>
    app.signalsOf(outing).filter(({ values }) => values.dug === word).length;
  return { dug: count("yes"), stopped: count("stopped") };
}

function endView(app: App): HTMLElement[] {
  const { id, values, ended } = app.store.outings.get(app.place.id!)!;
  const { dug, stopped } = holesOf(app, id);
  const filled = values.holes_filled ?? "";
  const said = filled === "" ? null : Number(filled);
  const open = app.signalsOf(id).filter((signal) => signal.values.dug === undefined).length;
  const put = (name: string) => (value: string): void =>
    app.put("outings", id, ["values", name], value || null, { quiet: true });
  return [
    h("h1", { tabindex: "-1" }, "End of the outing"),
    h(
      "p",
      {},
      `Holes dug: ${dug}.${
        stopped === 0
          ? ""
          : ` Stopped at: ${stopped}; fill it, unless it must stay as it is for those you call.`
      }`,
    ),
    entry({
      name: "holes_filled",
      label: "Holes filled",
      mode: "numeric",
      value: filled,
      put: (value) => app.put("outings", id, ["values", "holes_filled"], value || null),
    }),
    said !== null && !(said >= dug && said <= dug + stopped)
      ? h(
        "p",
        { class: "alarm", role: "alert" },
        said < dug
          ? `${dug} dug, ${filled} filled: go back and fill what is open.`
          : `${dug + stopped} dug, ${filled} filled: count again, or write down the hole that is missing.`,
      )
      : null,
    open > 0 ? h("p", { class: "soft" }, `Signals without a word on digging: ${open}.`) : null,
    values.check_end
      ? null
      : button("Check piece at the end", () => app.go({ view: "outing", id, step: "check" })),
    entry({
      name: "ended_at",
      label: "Ended at",
      type: "time",
      value: values.ended_at,
      put: put("ended_at"),
    }),
    choices({
      name: "ended",
      label: "This outing is",
      of: [{ value: "ended", text: "ended" }],
      chosen: ended ? "ended" : undefined,
      choose: (value) => {
        const clock = phoneClock();
        if (value !== null && values.ended_at === undefined && values.date === clock.date) {
          app.put("outings", id, ["values", "ended_at"], clock.time, { quiet: true });
        }
        app.put("outings", id, ["ended"], value !== null);
      },
    }),
    h(
      "div",
      { class: "bar" },
      button("Back", () => app.go({ view: "outing", id })),
      button("Save to a file", () => app.go({ view: "files" }), { class: "main" }),
    ),
  ].filter((each) => each !== null);
}
