import { FIELDS, type Find, type Outing, type Signal, type Trial } from "../log/mod.ts";
import { type CoarseCells, FEWEST_SITES } from "./_coarse_cells.ts";
import type { Column } from "./_published_columns.ts";

/** What is published, as it stands in the data folder. */
export interface Published {
  readonly dig: {
    readonly signals: readonly Signal[];
    readonly finds: readonly Find[];
    readonly outings: readonly Outing[];
    readonly signalColumns: readonly Column<Signal>[];
    readonly findColumns: readonly Column<Find>[];
    readonly outingColumns: readonly Column<Outing>[];
  } | null;
  readonly garden: {
    readonly trials: readonly Trial[];
    readonly trialColumns: readonly Column<Trial>[];
  } | null;
  /** Names as they are shown, by kind, and how many have a number instead. */
  readonly names: readonly { readonly kind: string; readonly names: readonly string[] }[];
  readonly namesHeldBack: number;
  readonly cells: CoarseCells | null;
  readonly coarseCellsKm: number | undefined;
  /** Signals left out whole, for their site is private or a kept find is not reported. */
  readonly privateSignals: number;
  readonly unreported: number;
}

const fieldsOf = <Row>(columns: readonly Column<Row>[]): string =>
  columns.map(([field]) => field.name).join(", ");
const heldBack = [...FIELDS.signal, ...FIELDS.outing, ...FIELDS.find, ...FIELDS.trial].filter((field) =>
  field.publish === "held back"
).map((field) => field.name);

/** Tells what is published and what is held back, a sentence each, to be shown before it is done. */
export function publishedListing(published: Published): string[] {
  const { dig, garden, names, namesHeldBack, cells, coarseCellsKm, privateSignals, unreported } = published;
  const told = ["machines", "settings", ...(garden === null ? [] : ["test objects"])];
  return [
    ...(dig === null ? [] : [
      `${dig.signals.length} signals from ${
        new Set(dig.signals.map((signal) => signal.site)).size
      } sites and ${dig.finds.length} finds: ${fieldsOf(dig.signalColumns)}; of finds ${
        fieldsOf(dig.findColumns)
      }`,
      `${dig.outings.length} outings: ${fieldsOf(dig.outingColumns)}`,
    ]),
    ...(garden === null ? [] : [`${garden.trials.length} trials: ${fieldsOf(garden.trialColumns)}`]),
    `Names shown as written: ${
      names.filter(({ kind }) => told.includes(kind)).map(({ kind, names }) =>
        `${kind} ${names.join(", ") || "none"}`
      ).join("; ")
    }`,
    ...(namesHeldBack === 0 ? [] : [
      `Shown as "unnamed" with a number, for a place, a person or a day is in them: ${namesHeldBack} names of machines, settings, tones or test objects`,
    ]),
    ...(cells === null ? [] : [
      `Where sites lie, as you asked: ${cells.sites} sites in ${cells.cells} cells of ${coarseCellsKm} km or more; ` +
      `${cells.heldBack} sites held back, for their cell holds fewer than ${FEWEST_SITES}`,
    ]),
    "Sites as letters, dates as months, ids, observers, spots and rule versions as numbers",
    `Held back: ${
      [...new Set(heldBack)].join(", ")
    }; names of files; rejected rows; columns that were not used`,
    ...(privateSignals > 0 ? [`Left out whole: ${privateSignals} signals of private sites`] : []),
    ...(unreported > 0
      ? [
        `Held back until reported: ${unreported} signals with a find that is kept and marked as not reported`,
      ]
      : []),
  ];
}
