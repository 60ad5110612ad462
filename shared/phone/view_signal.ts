import { WORDS } from "../../lib/log/words.ts";
import type { PhoneSignal } from "../../lib/writeup/phone_log.ts";
import type { App } from "./app.ts";
import { button, type Choice, choices, entry, h } from "./dom.ts";
import { pad } from "./pad.ts";
import { stopRules } from "./stop.ts";
import { verdictView } from "./view_verdict.ts";
import { newSignal } from "./view_outing.ts";

const words = (list: readonly string[]): Choice[] =>
  list.map((value) => ({ value, text: value.replaceAll("-", " ") }));

const STEPS = ["passes", "signs", "verdict", "hole"] as const;
type Step = typeof STEPS[number];
const NAMES: Record<Step, string> = { passes: "Passes", signs: "Signs", verdict: "Verdict", hole: "Hole" };

/** The word chosen for a field of the signal; pressing it again takes it back. */
export function wordOf(
  app: App,
  signal: PhoneSignal,
  name: string,
  label: string,
  of: readonly Choice[],
  more: { locked?: boolean; hint?: string } = {},
): HTMLElement {
  return choices({
    name,
    label,
    of,
    chosen: signal.values[name],
    ...more,
    choose: (value) => app.put("signals", signal.id, ["values", name], value),
  });
}

export const myCall = (app: App, signal: PhoneSignal): HTMLElement =>
  wordOf(
    app,
    signal,
    "my_call",
    "My own call",
    words(WORDS.my_call),
    signal.values.rule_said === undefined ? {} : { locked: true, hint: "fixed: made before the verdict" },
  );

export function signalView(app: App): HTMLElement[] {
  const signal = app.store.signals.get(app.place.id!)!;
  const outing = app.store.outings.get(signal.outing)!;
  const step = (STEPS as readonly string[]).includes(app.place.step ?? "")
    ? app.place.step as Step
    : "passes";
  const steps = STEPS.filter((each) => each !== "verdict" || app.kit.rules.length > 0);
  const to = (next: Step) => (): void => app.go({ view: "signal", id: signal.id, step: next });
  const following = steps[steps.indexOf(step) + 1];
  const body = step === "passes"
    ? passes(app, signal, to("signs"))
    : step === "signs"
    ? signs(app, signal)
    : step === "verdict"
    ? verdictView(app, signal, outing)
    : hole(app, signal);
  return [
    h(
      "div",
      { class: "top" },
      h("h1", { tabindex: "-1" }, `Signal ${signal.number}`),
      button("Undo", () => app.undo(), { class: "quiet", disabled: !app.undoable(signal.id) }),
      button("List", () => app.go({ view: "outing", id: signal.outing }), { class: "quiet" }),
    ),
    h(
      "nav",
      { class: `steps of${steps.length}`, "aria-label": "Parts of this signal" },
      steps.map((each) =>
        button(NAMES[each], to(each), {
          "aria-current": each === step ? "step" : undefined,
          "data-key": `step-${each}`,
        })
      ),
    ),
    ...body,
    // Where the keypad is open, its own last key is the way on: nothing stands below it to be hit by mistake.
    step === "passes" || (step === "hole" && app.padAt !== null) ? null : h(
      "div",
      { class: "bar" },
      following === undefined
        ? button("Next signal", () => void newSignal(app, signal.outing), {
          class: "main",
          "data-key": "next-signal",
        })
        : button(`Next: ${NAMES[following].toLowerCase()}`, to(following), {
          class: "main",
          "data-key": "next-step",
        }),
    ),
  ].filter((each) => each !== null);
}

function passes(app: App, signal: PhoneSignal, done: () => void): HTMLElement[] {
  const names = ["readings_right", "readings_left", "readings_cross"] as const;
  const labels = ["Going right", "Going left", "After a quarter turn"];
  const at = app.padAt ?? "readings_right";
  const place = names.indexOf(at as "readings_right");
  const goTo = (name: string): void => {
    app.padAt = name;
    app.draw();
  };
  const keypad = pad({
    cells: names.map((name, i) => ({ name, label: labels[i]!, value: signal.values[name] })),
    at,
    scale: app.machineOf(app.store.outings.get(signal.outing)!).scale,
    choose: goTo,
    write: (name, value) => {
      app.padAt = name;
      app.put("signals", signal.id, ["values", name], value || null);
    },
    onward: place === 0 ? { text: "go left", go: () => goTo("readings_left") } : { text: "signs", go: done },
  });
  return [keypad.cells, keypad.keys];
}

function signs(app: App, signal: PhoneSignal): HTMLElement[] {
  const outing = app.store.outings.get(signal.outing)!;
  const { tones } = app.machineOf(outing);
  const bands = tones.kind === "bands" && tones.bands.length > 1 ? tones.bands.map(({ name }) => name) : [];
  const word = (name: string, label: string, of: readonly string[]) =>
    wordOf(app, signal, name, label, words(of));
  return [
    word("both_ways", "Sounds both ways", WORDS.yes_no_not_tried),
    word("after_turn", "After a quarter turn it", WORDS.after_turn),
    word("depth_indicated", "Depth shown", WORDS.depth),
    myCall(app, signal),
    word("iron_near", "Iron around it", WORDS.iron_near),
    word("spot_moves", "The spot moves between the ways", WORDS.yes_no_not_tried),
    bands.length === 0 ? null : word("tone_heard", "Tone heard", bands),
    app.options.coordinates ? coordinates(app, signal) : null,
  ].filter((each) => each !== null);
}

function coordinates(app: App, signal: PhoneSignal): HTMLElement {
  const { latitude, longitude } = signal.values;
  const take = (): void => {
    const fail = (): void => {
      app.notice = "The phone gave no place.";
      app.draw();
    };
    if (!("geolocation" in navigator)) return fail();
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        app.put("signals", signal.id, ["values", "latitude"], coords.latitude.toFixed(5), { quiet: true });
        app.put("signals", signal.id, ["values", "longitude"], coords.longitude.toFixed(5));
      },
      fail,
      { enableHighAccuracy: true, timeout: 15_000 },
    );
  };
  const clear = (): void => {
    app.put("signals", signal.id, ["values", "latitude"], null, { quiet: true });
    app.put("signals", signal.id, ["values", "longitude"], null);
  };
  return h(
    "div",
    { class: "choices" },
    h("p", { class: "label" }, "Where it lies", h("span", { class: "hint" }, " stays on this phone")),
    latitude === undefined
      ? button("Take coordinates", take, { class: "wide" })
      : button(`${latitude}, ${longitude}: take away`, clear, { class: "wide" }),
  );
}

function hole(app: App, signal: PhoneSignal): HTMLElement[] {
  const { values, finds, id } = signal;
  const word = (name: string, label: string, of: readonly Choice[]) => wordOf(app, signal, name, label, of);
  const danger = values.stopped_why === "hazard" || finds.some(({ keep }) => keep === "hazard");
  const found = values.dug === "yes" && values.result === "found";
  const count = Math.max(1, finds.length + (app.asking === "another" ? 1 : 0));
  const padded = app.padAt === null ? null : padFor(app, signal, app.padAt);
  if (padded !== null) return padded;
  return [
    danger ? stopRules(app) : null,
    word("dug", "Hole dug", words(WORDS.dug)),
    values.dug === "stopped" ? word("stopped_why", "Stopped because of", words(WORDS.stopped_why)) : null,
    values.dug === "yes"
      ? word("result", "In the hole", [
        { value: "found", text: "a find" },
        { value: "nothing-found", text: "nothing" },
        { value: "not-identified", text: "not told" },
      ])
      : null,
    ...(found ? Array.from({ length: count }, (_, k) => find(app, signal, k)) : []),
    found && count < 9
      ? button("Another find in this hole", () => {
        app.asking = "another";
        app.draw();
      }, { class: "wide" })
      : null,
    found ? word("iron_evidence", "Iron seen, at its closest", words(WORDS.iron_evidence)) : null,
    values.dug === "yes" ? word("after_dig", "The empty hole is", words(WORDS.after_dig)) : null,
    entry({
      name: "notes",
      label: "Notes",
      hint: "Never published.",
      long: true,
      value: values.notes,
      put: (value) => app.put("signals", id, ["values", "notes"], value || null, { quiet: true }),
    }),
    app.asking === "delete"
      ? h(
        "div",
        { class: "alarm" },
        h("p", {}, `Delete signal ${signal.number} from the phone?`),
        h(
          "div",
          { class: "row of2" },
          button("Keep it", () => {
            app.asking = null;
            app.draw();
          }),
          button("Delete it", () => {
            app.put("signals", id, ["deleted"], true, { quiet: true });
            app.go({ view: "outing", id: signal.outing });
          }, { class: "danger" }),
        ),
      )
      : button("Delete signal", () => {
        app.asking = "delete";
        app.draw();
      }, { class: "quiet" }),
  ].filter((each) => each !== null);
}

function find(app: App, signal: PhoneSignal, k: number): HTMLElement {
  const values = signal.finds[k] ?? {};
  const put = (name: string, value: string | null, quiet = false): void =>
    app.put("signals", signal.id, ["finds", k, name], value, { quiet });
  const word = (name: string, label: string, of: readonly Choice[]): HTMLElement =>
    choices({ name: `${name}-${k}`, label, of, chosen: values[name], choose: (value) => put(name, value) });
  const padButton = (name: string, label: string): HTMLElement =>
    button(`${label}: ${values[name] ?? "..."}`, () => {
      app.padAt = `${k}/${name}`;
      app.draw();
    }, { "data-key": `pad-${name}-${k}` });
  return h(
    "section",
    { class: "find", "aria-label": `Find ${k + 1}` },
    signal.finds.length > 1 || k > 0 ? h("h2", {}, `Find ${k + 1}`) : null,
    word("metal", "A magnet", [
      { value: "ferrous", text: "holds it" },
      { value: "non-ferrous", text: "does not" },
      { value: "both", text: "in part" },
      { value: "not-sure", text: "not tried" },
    ]),
    word("keep", "Worth keeping", words(WORDS.keep)),
    entry({
      name: `what-${k}`,
      label: "What it is",
      value: values.what,
      put: (value) => put("what", value || null, true),
    }),
    h(
      "div",
      { class: "row of2" },
      padButton("readings_alone", "Read alone"),
      padButton("depth_cm", "Depth, cm"),
    ),
  );
}

/** The keypad, opened for one number of a find. */
function padFor(app: App, signal: PhoneSignal, at: string): HTMLElement[] {
  const [k = "0", name = ""] = at.split("/");
  const alone = name === "readings_alone";
  const keypad = pad({
    cells: [{
      name,
      label: alone ? "The find read alone, beside the cleared hole" : "From the surface to the find, cm",
      value: signal.finds[Number(k)]?.[name],
      kind: alone ? "readings" : "number",
    }],
    at: name,
    scale: app.machineOf(app.store.outings.get(signal.outing)!).scale,
    choose: () => {},
    write: (_, value) => app.put("signals", signal.id, ["finds", Number(k), name], value || null),
    onward: {
      text: "done",
      go: () => {
        app.padAt = null;
        app.draw();
      },
    },
  });
  return [keypad.cells, keypad.keys];
}
