import { fitOf } from "./_column_facts.ts";
import { isReadings } from "./mapping.ts";
import { sideOfHeading } from "./mapping_headings.ts";
import type { Draft } from "./_proposal.ts";

/** Headings that differ in nothing but their direction ("K right", "K left"), as pairs. */
function sidedPairs(
  headings: readonly string[],
): readonly { readonly right: string; readonly left: string }[] {
  const sided = headings.map((heading) => ({ heading, of: sideOfHeading(heading) }));
  return sided.flatMap(({ heading, of }) => {
    if (of?.side !== "right") return [];
    const other = sided.filter((each) => each.of?.side === "left" && each.of.rest === of.rest);
    return other.length === 1 ? [{ right: heading, left: other[0]!.heading }] : [];
  });
}

/** Asks for what a log must have and no column holds. */
export function askMissing(draft: Draft): void {
  const { table, given, columns, machines, questions, reasons } = draft;
  // A field that an open question may yet give is not missing.
  const pending = questions.flatMap((each) => each.options.flatMap((option) => option.patch.columns ?? []));
  const known = [...given.columns, ...columns, ...pending];
  const has = (name: string): boolean =>
    known.some((each) => each.field === name) ||
    Object.hasOwn(given.constants, name);
  const id = table === "trials" ? "trial_id" : table === "signals" ? "signal_id" : null;
  if (id !== null && !has(id) && given.ids === undefined) {
    draft.patch = { ...draft.patch, ids: "row-number" };
    reasons.push({
      heading: null,
      field: id,
      text: "no column names the rows: each is named after its line in the file",
      samples: [],
    });
  }
  if (table === "signals" && !has("site")) {
    // A column of words with no meaning yet may be it: each word on two rows or more, as a place would be.
    const maybe = draft.facts.filter((each) =>
      each.filled >= 2 * each.values.length && each.values.some((text) => /\p{L}/u.test(text)) &&
      columns.some((column) => column.heading === each.heading && column.field === null) &&
      given.columns.every((column) => column.heading !== each.heading)
    ).slice(0, 4);
    questions.push({
      id: "constant site",
      heading: null,
      text: "No column says where the signals were. If they are all from one place, what is it called?",
      samples: [],
      options: maybe.map((each) => ({
        label: `the column ${JSON.stringify(each.heading)} says it`,
        patch: { columns: [{ heading: each.heading, field: "site" }] },
      })),
      constant: "site",
    });
  }
  if (machines !== null && machines.machines.length > 1 && !has("machine") && !has("settings")) {
    const sets = machines.settings.length > 0
      ? machines.settings.map((each) => ["settings", each.settings] as const)
      : [];
    questions.push({
      id: "constant machine",
      heading: null,
      text: "No column says which machine was in use. If it was one all the time, which?",
      samples: [],
      options: [...machines.machines.map((each) => ["machine", each.machine] as const), ...sets].map((
        [field, value],
      ) => ({
        label: field === "machine" ? value : `settings set ${value}`,
        patch: { constants: { [field]: value } },
      })),
    });
  }
  if (
    (table === "signals" || table === "trials") &&
    !known.some((each) => isReadings(each.field ?? ""))
  ) {
    const fits = draft.facts.filter((each) =>
      each.filled > 0 && fitOf(each, "readings", null) > 0.8 &&
      [...given.columns, ...columns].every((column) =>
        column.heading !== each.heading || column.field == null
      )
    ).filter((each) => given.columns.every((column) => column.heading !== each.heading));
    questions.push({
      id: "readings",
      heading: null,
      text: fits.length === 0
        ? "No column could hold readings of the machine: without them nothing can be learnt from the log."
        : "No heading says plainly that it holds readings. Which column does?",
      samples: fits.slice(0, 6).map((each) => `${each.heading}: ${each.samples.join(", ")}`),
      options: [
        ...sidedPairs(fits.map((each) => each.heading)).map(({ right, left }) => ({
          label: `${JSON.stringify(right)} left to right, ${JSON.stringify(left)} the way back`,
          patch: {
            columns: [{ heading: right, field: "readings_right" }, { heading: left, field: "readings_left" }],
          },
        })),
        ...fits.map((each) => ({
          label: JSON.stringify(each.heading),
          patch: { columns: [{ heading: each.heading, field: "readings" }] },
        })),
      ],
    });
  }
}
