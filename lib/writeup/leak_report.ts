import {
  type DigLog,
  type Field,
  FIELDS,
  type GardenLog,
  type MachinesFile,
  OUTCOME_FIELDS,
} from "../log/mod.ts";
import { logSecrets } from "./_log_secrets.ts";
import { findLeaks, type Leak } from "./find_leaks.ts";
import type { PublishedData } from "./publish_data.ts";
import { visible } from "./_visible.ts";

export interface LeakReportInput {
  readonly digLog: DigLog | null;
  readonly gardenLog: GardenLog | null;
  readonly machines: MachinesFile;
  readonly data: PublishedData;
  readonly title: string;
  readonly author?: string;
  readonly date?: string;
  /** What the record says was typed. */
  readonly command: string;
  /** Roles of the files that were read. */
  readonly roles: readonly string[];
  /** Notebooks of the person's own, which are published as they are, with all that they show. */
  readonly ownNotebooks: readonly { readonly name: string; readonly text: string }[];
}

/** What a write-up would show and what it keeps. Private: it names what is held back. */
export interface LeakReport {
  /** The whole report, for the folder beside the write-up. */
  readonly text: string;
  /** A few lines for the terminal. */
  readonly summary: readonly string[];
  /** Texts that are published as they are and may give something away. */
  readonly leaks: readonly Leak[];
}

const HOW: Readonly<Record<Exclude<Field["publish"], "held back">, string>> = {
  kept: "as written",
  coarsened: 'made coarser: days as months, free words as "other", places of the list as letters',
  renumbered: "numbered anew",
};

/**
 * Tells what a write-up would publish and what it holds back: every table field by field, every name shown as written, the
 * files' hashes, and by kind how many things stay behind; and it looks in what is shown as written for places, people and
 * days (`findLeaks`).
 *
 * Marks that turn or hide text are shown as U+FFFD. The same logs give the same report.
 *
 * @example
 * ```ts
 * import { loadDigLog, parseMachines } from "overiron";
 * import { leakReport } from "./leak_report.ts";
 * import { publishData } from "./publish_data.ts";
 * const machines = parseMachines(JSON.stringify({
 *   schema: "overiron-machines/1",
 *   machines: [{
 *     machine: "Machine A",
 *     scale: { low: 0, high: 600, step: 1 },
 *     iron_break: 150,
 *     tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 *   }],
 * }));
 * const text = "signal_id,site,readings_right,readings_left,notes\n7,Top field,410,x 405,by the old oak\n";
 * const digLog = await loadDigLog({ name: "log.csv", bytes: new TextEncoder().encode(text) }, machines);
 * const data = publishData({ digLog, machines }, { seed: 1 });
 * const rest = { command: "deno task season DIG-LOG", roles: ["dig-log"], ownNotebooks: [] };
 * const report = leakReport({ digLog, gardenLog: null, machines, data, title: "Top field again", ...rest });
 * if (!report.text.includes("notes: 1")) throw new Error("not counted");
 * if (report.leaks[0]?.found !== "Top field") throw new Error("not found");
 * ```
 */
export function leakReport(input: LeakReportInput): LeakReport {
  const { digLog, gardenLog, data, title, author, date } = input;
  const { names } = data;
  const leaks = findLeaks([
    { where: "the title", text: title },
    ...(author === undefined ? [] : [{ where: "the author's name", text: author }]),
    ...names.flatMap(({ kind, names }) => names.map((text) => ({ where: `a name of ${kind}`, text }))),
    ...input.ownNotebooks.flatMap(({ name, text }) => [
      { where: "the name of your notebook", text: name },
      { where: `your notebook ${name}`, text, shapes: false },
    ]),
  ], logSecrets(digLog, gardenLog));
  const cells = data.files.find(({ name }) => name === "cells.csv");
  if (cells !== undefined) {
    const sites = cells.text.trim().split("\n").length - 1;
    leaks.push({ where: "data/cells.csv", what: "cells in which sites lie", found: `${sites} sites` });
  }
  const held = heldBack(input);
  const looks = leaks.map(({ where, what, found }) => `${where}: ${what}: ${found}`);
  const text = [
    "What is published, and what is held back. Private: this belongs beside the write-up, never in it.",
    "",
    "PUBLISHED",
    ...tables(data),
    "Names shown as written:",
    ...names.map(({ kind, names }) => `  ${kind}: ${names.join(", ") || "none"}`),
    "Words of yours on the page:",
    `  title: ${title}`,
    `  author: ${author ?? "nobody"}`,
    `  day of publishing: ${date ?? "none"}`,
    `  own notebooks, whole, with their code and all that they show: ${
      input.ownNotebooks.map(({ name }) => name).join(", ") || "none"
    }`,
    "About your files, by what they are for and not by name: size, SHA-256, how many rows were taken:",
    `  ${input.roles.join(", ")}`,
    `The command, without its values but the seed and the width of cells: ${input.command}`,
    "Figures are drawn from the tables above; no picture of yours is taken in. What a notebook of yours shows as a picture is",
    "published without the metadata of its file.",
    "Of fitted models: their scores, and the chances they gave each numbered signal (predictions.csv). No fitted model, and",
    "nothing that one keeps of the rows it learnt from.",
    "Also: versions of Deno and packages, the seed, and what was taken for granted when the logs were read, in words.",
    "",
    "HELD BACK",
    ...held.map(([what, count]) => `  ${what}: ${count}`),
    "  names of files and folders, what was typed after each option, the environment: all",
    "",
    "LOOK AGAIN: shown as written, and may give something away",
    ...(looks.length === 0 ? ["  nothing was found"] : looks.map((each) => `  ${each}`)),
  ].join("\n");
  const some = held.filter(([, count]) => count > 0).map(([what, count]) => `${what}: ${count}`);
  return {
    text: `${visible(text)}\n`,
    summary: [
      ...data.listing,
      `Kept from your logs: ${some.join("; ") || "nothing"}`,
      ...looks.map((each) => `LOOK AGAIN before you pass it on: ${each}`),
    ].map(visible),
    leaks,
  };
}

/** The published tables, field by field, by how each is shown. */
function tables(data: PublishedData): string[] {
  const fields = new Map(
    [...Object.values(FIELDS).flat(), ...OUTCOME_FIELDS].map((field) => [field.name, field]),
  );
  return data.files.filter(({ name }) => name.endsWith(".csv")).flatMap(({ name, text }) => {
    const head = text.slice(0, text.indexOf("\n")).trim().split(",");
    const lines = Object.entries(HOW).flatMap(([publish, how]) => {
      const found = head.filter((column) => fields.get(column)?.publish === publish);
      return found.length === 0 ? [] : [`  ${how}: ${found.join(", ")}`];
    });
    const derived = head.filter((column) => !fields.has(column));
    return [`data/${name}`, ...lines, ...(derived.length === 0 ? [] : [`  made: ${derived.join(", ")}`])];
  });
}

/** How many things of each kind stay behind. */
function heldBack(input: LeakReportInput): (readonly [what: string, count: number])[] {
  const { digLog, gardenLog, machines, data } = input;
  const signals = digLog?.season.signals ?? [], outings = digLog?.season.outings ?? [];
  const finds = [...new Set(signals.flatMap((signal) => signal.finds))];
  const reports = [digLog?.report, gardenLog?.report].filter((report) => report !== undefined);
  const distinct = (values: readonly unknown[]): number =>
    new Set(values.filter((value) => value !== null)).size;
  const there = (values: readonly unknown[]): number =>
    values.filter((value) => value !== null && value !== undefined).length;
  const own = signals.map(({ kept_private }) => kept_private);
  const published = JSON.parse(data.files.find(({ name }) => name === "machines.json")!.text) as MachinesFile;
  const noted =
    [...machines.machines, ...machines.settings].filter(({ notes }) => notes !== undefined).length;
  return [
    [
      "coordinates of signals (latitude, longitude)",
      there(own.map((each) => each?.latitude ?? each?.longitude)),
    ],
    ["names of sites, shown as letters", distinct([...signals, ...outings].map(({ site }) => site))],
    [
      "days, shown as months",
      distinct([...signals, ...outings, ...gardenLog?.garden.trials ?? []].map(({ date }) => date)),
    ],
    ["times of the day (seen_at)", there(own.map((each) => each?.seen_at))],
    ["notes", there(own.map((each) => each?.notes))],
    ["notes on machines and settings", noted],
    ["what finds were (what)", there(finds.map(({ what }) => what))],
    ["whether finds were reported", there(finds.map(({ reported }) => reported))],
    ["observers, shown as numbers", distinct([...signals, ...outings].map(({ observer }) => observer))],
    ["words shown as other: your own free words, and where you wrote other", otherWords(data)],
    [
      "machines and settings with nothing published",
      machines.machines.length + machines.settings.length -
      published.machines.length - published.settings.length,
    ],
    ["names shown as unnamed, for a place, a person or a day is in them", data.namesHeldBack],
    [
      "columns not used (devices, tracks, anything else)",
      reports.reduce((sum, { ignored }) => sum + ignored.length, 0),
    ],
    ["rejected rows", reports.reduce((sum, { rejected }) => sum + rejected.length, 0)],
    ["signals of private sites or with a find still to be reported", signals.length - publishedSignals(data)],
  ];
}

const publishedSignals = ({ key }: PublishedData): number =>
  key.filter(({ kind }) => kind === "signal").length;

const otherWords = ({ files }: PublishedData): number =>
  files.filter(({ name }) => name === "signals.csv" || name === "outings.csv" || name === "trials.csv")
    .reduce((sum, { text }) => sum + (text.match(/(?<=[,\n])other(?=[,\n])/g)?.length ?? 0), 0);
