import { type App, phoneClock } from "./app.ts";
import { button, choices, h, many } from "./dom.ts";
import { gateFaults, gateFields } from "./gate.ts";
import { stopRules } from "./stop.ts";
import { holesOf } from "./view_outing.ts";

export function homeView(app: App): HTMLElement[] {
  const outings = [...app.store.outings.values()].filter(({ deleted }) => !deleted).sort((a, b) =>
    a.id < b.id ? 1 : -1
  );
  const open = outings.filter(({ ended }) => !ended);
  return [
    h("h1", { tabindex: "-1" }, "Dig log"),
    stopRules(app, { brief: true }),
    ...open.map(({ id, values }) =>
      button(
        `Go on: ${values.site ?? "no site"}, ${values.date ?? "no date"}`,
        () => app.go({ view: "outing", id }),
        { class: "main" },
      )
    ),
    button("Start an outing", () => app.go({ view: "start" }), { class: open.length > 0 ? "wide" : "main" }),
    h(
      "div",
      { class: "row of2" },
      button("Files", () => app.go({ view: "files" })),
      button("Options", () => app.go({ view: "options" })),
    ),
    outings.length === 0
      ? h(
        "p",
        { class: "soft" },
        "Nothing is logged on this phone yet. What you write stays on it until you save a file.",
      )
      : h(
        "section",
        {},
        h("h2", {}, "Outings on this phone"),
        h(
          "ul",
          { class: "list" },
          outings.map(({ id, values, ended }) => {
            const signals = app.signalsOf(id);
            const holes = Math.max(0, holesOf(app, id).dug - Number(values.holes_filled ?? 0));
            const unsaved = signals.filter((signal) => !app.store.inFile(signal)).length;
            return h(
              "li",
              {},
              h(
                "button",
                {
                  type: "button",
                  "data-key": `outing-${id}`,
                  on: { click: () => app.go({ view: "outing", id }) },
                },
                h("b", {}, `${values.site ?? "no site"}, ${values.date ?? "no date"}`),
                h(
                  "span",
                  {},
                  `${many(signals.length, "signal")}${unsaved > 0 ? `, ${unsaved} not in a file` : ""}${
                    ended ? holes === 0 ? "" : `, ${many(holes, "hole")} not filled` : ", open"
                  }`,
                ),
              ),
            );
          }),
        ),
      ),
  ];
}

/** The form of a new outing lives in the window until the outing is started: there is nothing to lose yet. */
const draft: Record<string, string> = {};

export function startView(app: App): HTMLElement[] {
  const { settings, machines } = app.kit.machines;
  const clock = phoneClock();
  draft.date ??= clock.date;
  const put = (name: string) => (value: string | null): void => {
    if (value === null || value === "") delete draft[name];
    else draft[name] = value;
  };
  const redraw = (name: string) => (value: string | null): void => {
    put(name)(value);
    app.draw();
  };
  const outings = [...app.store.outings.values()].filter(({ deleted }) => !deleted);
  const latest = outings.reduce((most, { values }) => (values.date ?? "") > most ? values.date! : most, "");
  const learnt = app.kit.rules.reduce(
    (most, { months }) => (months?.to ?? "") > most ? months!.to : most,
    "",
  );
  const behind = clock.date < latest || clock.date.slice(0, 7) < learnt;
  const sites = [...new Set(outings.flatMap(({ values }) => values.site ?? []))];
  const only = settings.length === 1 ? settings[0]!.settings : undefined;
  if (only !== undefined) draft.settings ??= only;
  if (settings.length === 0 && machines.length === 1) draft.machine ??= machines[0]!.machine;
  const start = (): void => {
    const site = (draft.site ?? "").trim() !== "", settings = (draft.settings ?? draft.machine) !== undefined;
    const wrong = gateFaults(draft);
    if (!site || !settings || wrong.length > 0) {
      app.notice = !site
        ? "Give the site a code first."
        : !settings
        ? "Choose the settings set first."
        : wrong.join(" ");
      app.draw();
      return scrollTo(0, 0);
    }
    const random = crypto.getRandomValues(new Uint8Array(4));
    const letters = "abcdefghjkmnpqrstuvwxyz23456789";
    const tail = Array.from(random, (byte) => letters[byte % letters.length]).join("");
    const id = `${(draft.date ?? clock.date).replaceAll("-", "")}-${tail}`;
    const values = { ...draft, ...(draft.date === clock.date && !behind ? { started_at: clock.time } : {}) };
    app.store.add("outings", [{ id, values, ended: false, deleted: false, revision: 0 }]);
    for (const name of ["date", "moisture", "balance", "site_private"]) delete draft[name];
    app.go({ view: "outing", id });
  };
  return [
    h("h1", { tabindex: "-1" }, "Start an outing"),
    settings.length > 0
      ? choices({
        name: "settings",
        label: "Settings set",
        of: settings.map((each) => ({ value: each.settings, text: each.settings })),
        chosen: draft.settings,
        choose: redraw("settings"),
      })
      : choices({
        name: "machine",
        label: "Machine",
        of: machines.map(({ machine }) => ({ value: machine, text: machine })),
        chosen: draft.machine,
        choose: redraw("machine"),
      }),
    settingsLine(app),
    ...gateFields({
      values: draft,
      sites,
      clock: behind
        ? h(
          "p",
          { class: "alarm" },
          `The phone's clock says ${clock.date}, which is before ${
            clock.date < latest ? `the outing of ${latest}` : `what the rule was learnt from (${learnt})`
          }. Put the right date here; times are left out.`,
        )
        : null,
      put: (name, value) => put(name)(value),
      choose: (name, value) => redraw(name)(value),
    }),
    h(
      "div",
      { class: "bar" },
      button("Back", () => app.go({ view: "home" })),
      button("Start", start, { class: "main" }),
    ),
  ].filter((each) => each !== null);
}

function settingsLine(app: App): HTMLElement | null {
  const set = app.kit.machines.settings.find(({ settings }) => settings === draft.settings);
  if (set === undefined) return null;
  const coil = set.coil === null
    ? "coil not stated"
    : `coil ${set.coil.length_cm} x ${set.coil.width_cm} cm, ${set.coil.winding}`;
  const iron = {
    none: "iron not silenced",
    "iron-silenced": "iron silenced",
    other: "other discrimination",
    "not-stated": "discrimination not stated",
  };
  const held = app.kit.rules.some(({ machine, discrimination }) =>
    machine === set.machine && discrimination === set.discrimination
  );
  return h(
    "p",
    { class: "soft" },
    `${set.machine}, ${coil}, ${iron[set.discrimination]}. ${
      held ? "A rule is carried for it." : "No rule is carried for it."
    }`,
  );
}

export function optionsView(app: App): HTMLElement[] {
  const { theme, worth, callFirst, coordinates } = app.options;
  const yesNo = [{ value: "yes", text: "yes" }, { value: "no", text: "no" }];
  const as = (value: boolean): string => value ? "yes" : "no";
  return [
    h("h1", { tabindex: "-1" }, "Options"),
    choices({
      name: "theme",
      label: "Look",
      of: [{ value: "phone", text: "as the phone" }, { value: "sun", text: "sun" }, {
        value: "dark",
        text: "dark",
      }],
      chosen: theme,
      choose: (value) => app.choose({ theme: (value ?? "phone") as "phone" }),
    }),
    choices({
      name: "worth",
      label: "A good find is worth this many holes to me",
      of: [2, 3, 5, 10, 20].map((each) => ({ value: String(each), text: String(each) })),
      chosen: worth === null ? undefined : String(worth),
      choose: (value) => app.choose({ worth: value === null ? null : Number(value) }),
    }),
    h(
      "p",
      { class: "soft" },
      worth === null
        ? "Not said yet: verdicts are shown at several worths, and none is written down."
        : `A hole pays from a chance of 1 in ${worth}.`,
    ),
    choices({
      name: "callFirst",
      label: "Ask my own call before the verdict",
      of: yesNo,
      chosen: as(callFirst),
      choose: (value) => app.choose({ callFirst: (value ?? as(callFirst)) === "yes" }),
    }),
    h(
      "p",
      { class: "soft" },
      "Your own call and the rule's, both written down before the hole, are the only way to learn whether the rule pays.",
    ),
    choices({
      name: "coordinates",
      label: "Offer a button for coordinates",
      of: yesNo,
      chosen: as(coordinates),
      choose: (value) => app.choose({ coordinates: (value ?? as(coordinates)) === "yes" }),
    }),
    h(
      "p",
      { class: "soft" },
      "Off, the page never asks where you are. On, they stay on this phone, and go into a file only where you tick that.",
    ),
    h("div", { class: "bar" }, button("Back", () => app.go({ view: "home" }))),
  ];
}
