import { WORDS } from "../../lib/log/words.ts";
import { numberFault } from "../../lib/writeup/phone_log.ts";
import { choices, entry, h } from "./dom.ts";

const shown = (word: string): string => word.replaceAll("-", " ");
const NUMBERS = [["balance", "Ground balance shown"], ["coil_height_cm", "Coil height, cm"]] as const;

/** What the kit would refuse in these values, in sentences. */
export const gateFaults = (values: Readonly<Record<string, string>>): string[] =>
  NUMBERS.flatMap(([name, label]) => {
    const fault = numberFault(name, values[name] ?? "");
    return fault === null ? [] : [`${label}: ${fault}.`];
  });

/** The facts of an outing that a person may put right at any time: what hangs on its settings set is not among them. */
export function gateFields(options: {
  readonly values: Readonly<Record<string, string>>;
  readonly sites: readonly string[];
  /** Below the date: what there is to say about it. */
  readonly clock?: HTMLElement | null;
  readonly put: (name: string, value: string | null) => void;
  /** As `put`, and the page is drawn again. */
  readonly choose: (name: string, value: string | null) => void;
}): (HTMLElement | null)[] {
  const { values, sites, clock = null, put, choose } = options;
  return [
    entry({
      name: "site",
      label: "Site code",
      value: values.site,
      hint: "Your own code. A write-up puts a letter in its place.",
      list: sites,
      put: (value) => put("site", value),
    }),
    entry({
      name: "date",
      label: "Date",
      type: "date",
      value: values.date,
      put: (value) => choose("date", value),
    }),
    clock,
    choices({
      name: "moisture",
      label: "Ground is",
      of: ["dry", "damp", "wet"].map((value) => ({ value, text: value })),
      chosen: values.moisture,
      choose: (value) => choose("moisture", value),
    }),
    choices({
      name: "ground",
      label: "Kind of ground",
      of: WORDS.ground.map((value) => ({ value, text: shown(value) })),
      chosen: values.ground,
      choose: (value) => choose("ground", value),
    }),
    ...NUMBERS.map(([name, label]) =>
      entry({ name, label, mode: "decimal", value: values[name], put: (value) => put(name, value) })
    ),
    entry({
      name: "observer",
      label: "Who holds the machine",
      hint: "A write-up puts a number in place of the name.",
      value: values.observer,
      put: (value) => put("observer", value),
    }),
    choices({
      name: "site_private",
      label: "Keep this site out of any write-up",
      of: [{ value: "yes", text: "yes, private" }],
      chosen: values.site_private,
      choose: (value) => choose("site_private", value),
    }),
  ];
}

/** The same for an outing that was started; a wrong number is told once the person leaves the line. */
export const gateAlarm = (values: Readonly<Record<string, string>>): HTMLElement | null => {
  const faults = gateFaults(values);
  return faults.length === 0 ? null : h("p", { class: "alarm", role: "alert" }, faults.join(" "));
};
