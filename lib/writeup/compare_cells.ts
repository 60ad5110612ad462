import { recordedMediaType, type RecordedResult } from "../figures/show.ts";
import type { CellOutput, CodeCell, Notebook } from "./notebook.ts";

/** How a cell came out the second time. */
export type CellVerdict = "equal" | "within-tolerance" | "different" | "not-run";

/** One code cell of two runs, compared. */
export interface ComparedCell {
  readonly notebook: string;
  /** The notebook's code cells are counted from 1. */
  readonly cell: number;
  readonly cellId: string;
  readonly verdict: CellVerdict;
  /** What differs, a sentence each, at most ten; empty where nothing does. */
  readonly differences: readonly string[];
}

export interface CompareOptions {
  /** How far two numbers may be apart, as a share of the larger. Default 1e-6. */
  readonly tolerance?: number;
}

/**
 * Compares the outputs of a notebook's code cells with those of another run of it, cell by cell.
 *
 * Equal: the same to the last byte. Within tolerance: the same but for numbers that lie no further apart than `tolerance`
 * of the larger, or than one unit of the last decimal written where three digits or more are written. Different: anything
 * else, told by recorded result where there is one and by the first lines that differ. A cell that one run reached and the
 * other did not is "not-run".
 *
 * @example
 * ```ts
 * import { compareCells, readNotebook } from "./mod.ts";
 * const of = (text: string) => readNotebook(JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells: [
 *   { cell_type: "code", id: "a", metadata: {}, source: "x", execution_count: 1, outputs: [{ output_type: "stream", name: "stdout", text }] },
 * ] }));
 * const [cell] = compareCells("n", of("0.12345678"), of("0.12345679"));
 * if (cell!.verdict !== "within-tolerance") throw new Error(cell!.verdict);
 * ```
 */
export function compareCells(
  name: string,
  was: Notebook,
  is: Notebook,
  options: CompareOptions = {},
): readonly ComparedCell[] {
  const { tolerance = 1e-6 } = options;
  const own = (notebook: Notebook): CodeCell[] =>
    notebook.cells.filter((cell): cell is CodeCell =>
      cell.cell_type === "code" && cell.metadata["overiron-injected"] !== true
    );
  const now = new Map(own(is).map((cell) => [cell.id, cell]));
  return own(was).map((before, i) => {
    const after = now.get(before.id);
    const common = { notebook: name, cell: i + 1, cellId: before.id };
    if (after === undefined || (before.execution_count === null) !== (after.execution_count === null)) {
      const differences = [
        after?.execution_count == null ? "it was not reached this time" : "it was not run the first time",
      ];
      return { ...common, verdict: "not-run", differences };
    }
    return { ...common, ...compareOutputs(before.outputs, after.outputs, tolerance) };
  });
}

function compareOutputs(
  was: readonly CellOutput[],
  is: readonly CellOutput[],
  tolerance: number,
): Pick<ComparedCell, "verdict" | "differences"> {
  if (canonical(was) === canonical(is)) return { verdict: "equal", differences: [] };
  const differences: string[] = [];
  if (was.length !== is.length) differences.push(`it gave ${was.length} outputs, now ${is.length}`);
  const [before, after] = [recordedIn(was), recordedIn(is)];
  for (const key of new Set([...before.keys(), ...after.keys()])) {
    const [one, other] = [before.get(key), after.get(key)];
    if (one === undefined) differences.push(`${key} is new: ${told(other!)}`);
    else if (other === undefined) differences.push(`${key} is gone: it was ${told(one)}`);
    else if (!alike(canonical(one), canonical(other), tolerance)) {
      differences.push(`${key} was ${told(one)}, is ${told(other)}${apart(one, other)}`);
    }
  }
  if (differences.length === 0) {
    const [left, right] = [lines(was), lines(is)];
    for (let i = 0; i < Math.max(left.length, right.length); i++) {
      const [one, other] = [left[i] ?? "(nothing)", right[i] ?? "(nothing)"];
      if (one !== other && !alike(one, other, tolerance)) {
        differences.push(`was ${cut(one, other)}, is ${cut(other, one)}`);
      }
    }
  }
  const more = differences.length - 10;
  return {
    verdict: differences.length === 0 ? "within-tolerance" : "different",
    differences: more > 0 ? [...differences.slice(0, 10), `and ${more} more`] : differences,
  };
}

const canonical = (value: unknown): string =>
  JSON.stringify(
    value,
    (_, inner) =>
      typeof inner === "object" && inner !== null && !Array.isArray(inner)
        ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => a < b ? -1 : 1))
        : inner,
  );

/** Results by id and what they are about. */
function recordedIn(outputs: readonly CellOutput[]): Map<string, RecordedResult> {
  const found = new Map<string, RecordedResult>();
  for (const output of outputs) {
    const bundle = "data" in output
      ? (output.data as Record<string, unknown>)[recordedMediaType] as
        | { results?: RecordedResult[] }
        | undefined
      : undefined;
    for (const result of bundle?.results ?? []) {
      const of = Object.entries(result.of ?? {}).map(([key, value]) => `${key}: ${value}`).join(", ");
      found.set(`${result.id}${of === "" ? "" : ` (${of})`}`, result);
    }
  }
  return found;
}

const told = (result: RecordedResult): string =>
  "value" in result
    ? `${result.value} (${result.interval.low} to ${result.interval.high})`
    : `absent, ${result.absent}`;

const apart = (one: RecordedResult, other: RecordedResult): string =>
  "value" in one && "value" in other && one.value !== other.value
    ? `: ${Number((other.value - one.value).toPrecision(3))} apart`
    : "";

const lines = (outputs: readonly CellOutput[]): string[] => canonical(outputs).split(/\\n|(?<=>)(?=<)/);

/** The part of a text from where it leaves the other, short enough to read. */
function cut(text: string, other: string): string {
  let at = 0;
  while (at < text.length && text[at] === other[at]) at++;
  const from = Math.max(0, at - 20);
  return `"${from > 0 ? "…" : ""}${text.slice(from, from + 80)}${text.length > from + 80 ? "…" : ""}"`;
}

// A number ends where a letter or another point begins: "v1.2.3" is a name and no number.
const NUMBER = /-?\d+(?:\.\d+)?(?:e[+-]?\d+)?/gi;

/** Whether two texts are the same but for numbers that lie close enough. */
export function alike(one: string, other: string, tolerance: number): boolean {
  if (one === other) return true;
  if (one.replace(NUMBER, "#") !== other.replace(NUMBER, "#")) return false;
  const [left, right] = [one.match(NUMBER) ?? [], other.match(NUMBER) ?? []];
  return left.every((text, i) => text === right[i] || close(text, right[i]!, tolerance));
}

function close(one: string, other: string, tolerance: number): boolean {
  const [a, b] = [Number(one), Number(other)];
  const gap = Math.abs(a - b);
  if (gap <= tolerance * Math.max(Math.abs(a), Math.abs(b))) return true;
  const decimals = (text: string): number => /\.(\d+)$/.exec(text)?.[1]?.length ?? 0;
  const written = decimals(one);
  if (written === 0 || written !== decimals(other)) return false;
  const digits = one.replace(/[-.]/g, "").replace(/^0+/, "").length;
  return digits >= 3 && gap <= 1.000001 * 10 ** -written;
}
