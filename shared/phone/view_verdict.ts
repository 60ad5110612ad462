import { inHundred, wholeHundredths } from "../../lib/decide/hundredths.ts";
import { type SignalBeforeDig, type Verdict, verdict } from "../../lib/decide/verdict.ts";
import { WORTHS } from "../../lib/decide/worth_rule.ts";
import type { SettingsSet } from "../../lib/log/machines.ts";
import type { Passes, Signal } from "../../lib/log/rows.ts";
import { padPasses } from "../../lib/writeup/phone_keypad.ts";
import type { PhoneOuting, PhoneSignal } from "../../lib/writeup/phone_log.ts";
import type { App } from "./app.ts";
import { h } from "./dom.ts";
import { stopRules } from "./stop.ts";
import { myCall } from "./view_signal.ts";

/** What the rule may know of a signal, out of what was typed; a cell nobody can read counts as a fault. */
function beforeDig(
  app: App,
  signal: PhoneSignal,
  outing: PhoneOuting,
): SignalBeforeDig | { readonly fault: string } {
  const { scale } = app.machineOf(outing);
  const { values } = signal;
  const cells: Record<string, Passes | null> = {};
  for (const side of ["right", "left", "cross"] as const) {
    const { passes, fault } = padPasses(values[`readings_${side}`], scale);
    if (fault !== null) return { fault: `The passes cannot be read: ${fault}` };
    cells[side] = passes;
  }
  const depth = values.depth_indicated;
  return {
    right: cells.right!,
    left: cells.left!,
    cross: cells.cross!,
    both_ways: (values.both_ways ?? null) as Signal["both_ways"],
    after_turn: (values.after_turn ?? null) as Signal["after_turn"],
    iron_near: (values.iron_near ?? null) as Signal["iron_near"],
    depth_indicated: depth === undefined
      ? null
      : /^\d/.test(depth)
      ? Number(depth)
      : depth as Signal["depth_indicated"],
    my_call: (values.my_call ?? null) as Signal["my_call"],
  };
}

const middle = (readings: readonly number[]): number => {
  const sorted = [...readings].sort((a, b) => a - b), half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
};

/** The middle of what read as iron on this site, as the library takes it: three signals or more below the iron break. */
function siteIron(app: App, outing: PhoneOuting): number | null {
  const machine = app.machineOf(outing);
  const centres = [...app.store.outings.values()].filter(({ values, deleted }) =>
    !deleted && values.site === outing.values.site && values.settings === outing.values.settings
  ).flatMap(({ id }) => app.signalsOf(id)).flatMap((signal) => {
    const readings = (["right", "left"] as const).flatMap((side) => {
      const { passes } = padPasses(signal.values[`readings_${side}`], machine.scale);
      return passes === null
        ? []
        : passes.kind === "low-usual-high"
        ? [passes.readings[1]!]
        : passes.kind === "range"
        ? [middle(passes.readings)]
        : passes.readings;
    });
    return readings.length === 0 ? [] : [middle(readings)];
  }).filter((centre) => centre < machine.iron_break);
  return centres.length < 3 ? null : middle(centres);
}

/** Asks the carried rule about a signal, where a good find is worth so many holes. */
function askRule(app: App, signal: PhoneSignal, outing: PhoneOuting, holesWorth: number): Verdict {
  const set: SettingsSet | undefined = app.settingsOf(outing);
  const machine = app.machineOf(outing).machine;
  const discrimination = set?.discrimination ?? "not-stated";
  const open = app.ruleFor(machine, discrimination) ??
    (app.kit.rules[0] === undefined
      ? null
      : app.ruleFor(app.kit.rules[0].machine, app.kit.rules[0].discrimination));
  if (open === null || open === "broken") {
    return { kind: "refused", reason: "The rule in this page cannot be used: make the page again" };
  }
  const known = beforeDig(app, signal, outing);
  if ("fault" in known) return { kind: "refused", reason: known.fault };
  return verdict(open, known, {
    settings: set?.settings ?? null,
    machine,
    discrimination,
    machines: app.kit.machines,
    holesWorth,
    siteIron: siteIron(app, outing),
  });
}

export function verdictView(app: App, signal: PhoneSignal, outing: PhoneOuting): HTMLElement[] {
  const stop = stopRules(app);
  if (app.options.callFirst && signal.values.my_call === undefined) {
    return [stop, h("p", {}, "Say first what you take it for. The verdict follows."), myCall(app, signal)];
  }
  const { worth } = app.options;
  const answers = (worth === null ? WORTHS : [worth]).map((each) => ({
    worth: each,
    said: askRule(app, signal, outing, each),
  }));
  const [{ said }] = answers as [typeof answers[number]];
  const keep = (name: string, value: string | null): void => {
    if ((signal.values[name] ?? null) !== value) {
      app.store.patch("signals", signal.id, { path: ["values", name], value });
    }
  };
  if (said.kind === "refused") {
    keep("rule_said", null);
    keep("rule_version", null);
    return [
      stop,
      h(
        "section",
        { class: "verdict", "aria-label": "Verdict" },
        h("h2", {}, "No verdict"),
        h("p", {}, `${said.reason}.`),
      ),
    ];
  }
  // At a worth that nobody chose the rule has said nothing that could be held against the own call.
  keep("rule_said", worth === null ? null : said.says);
  keep("rule_version", worth === null ? null : said.ruleVersion);
  const words = { dig: "Dig", leave: "Not worth a hole" } as const;
  const saysAt = answers.flatMap((each) =>
    each.said.kind === "said" ? [{ worth: each.worth, word: words[each.said.says] }] : []
  );
  const agreed = saysAt.every(({ word }) => word === words[said.says]);
  const good = inHundred(100 - wholeHundredths(said.chances)[0]!);
  const rule = app.kit.rules.find(({ version }) => said.ruleVersion.startsWith(version))!;
  const { learntFrom, months, engine } = rule;
  const set = app.settingsOf(outing);
  const coil = set?.coil ? `coil ${set.coil.length_cm} x ${set.coil.width_cm} cm` : "coil not stated";
  const names = ["Ferrous", "Non-ferrous", "Masked good"];
  return [
    stop,
    h(
      "section",
      { class: "verdict", "aria-label": "Verdict", "data-chances": said.chances.join(" ") },
      h("h2", {}, agreed ? words[said.says] : "It depends on what a good find is worth to you"),
      said.couldBeEither
        ? h(
          "p",
          { class: "either" },
          `Could be either: ${
            said.set.join(" or ").replaceAll("-", " ").replace("non ferrous", "non-ferrous")
          }.`,
        )
        : null,
      h(
        "dl",
        { class: "chances" },
        wholeHundredths(said.chances).flatMap((
          share,
          k,
        ) => [h("dt", {}, names[k]!), h("dd", {}, inHundred(share))]),
      ),
      h(
        "p",
        {},
        worth === null
          ? `${
            saysAt.map((each) => `Worth ${each.worth} holes: ${each.word.toLowerCase()}`).join(". ")
          }. Something good is ${good} here. Say in Options what a good find is worth to you: then the rule's word is written down beside yours.`
          : `By your numbers a hole pays from 1 in ${worth}; something good is ${good} here.`,
      ),
      h("p", {}, `${said.reason}.`),
      said.cautions.map((text) => h("p", {}, `${text}.`)),
      h(
        "p",
        {},
        h("b", {}, "A fuzed shell can read as a masked good. No chance here says that it is safe to lift."),
      ),
      h(
        "p",
        { class: "soft" },
        `Stands on ${learntFrom.signals} dug signals at ${learntFrom.sites} sites (${learntFrom.ferrous} ferrous, ${learntFrom.nonFerrous} non-ferrous, ${learntFrom.maskedGood} masked good)${
          months === null ? "" : `, ${months.from} to ${months.to}`
        }. ` +
          `Holds for ${rule.machine}, ${coil}, settings ${outing.values.settings ?? "not named"}. Rule ${
            worth === null ? rule.version : said.ruleVersion
          }, ${engine}. Odds are not objects: only dug signals taught it.`,
      ),
    ),
  ];
}
