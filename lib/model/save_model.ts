import type { Model, ModelFile } from "./classifier.ts";
import type { SignalTable } from "./season_tables.ts";

/**
 * Gives a model's saved form with the machine and settings it learnt with, so that `loadModel` can refuse it where it was never tried.
 *
 * `table` is the one it learnt from. The file holds no signal, site or day: only names of machine and settings, and numbers.
 *
 * @example
 * ```ts
 * import { baseRates, loadModel, saveModel } from "overiron";
 * const group = Int32Array.of(0, 0);
 * const x = { n: 2, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const table = { machine, discrimination: "none" as const, signals: [], x };
 * const saved = saveModel(baseRates().fit(x, Uint8Array.of(0, 1), { seed: 1 }), table);
 * loadModel(saved, { on: table });
 * let message = "";
 * try { loadModel(saved, { on: { ...table, discrimination: "iron-silenced" } }); } catch (error) { message = (error as Error).message; }
 * if (!message.includes("iron-silenced")) throw new Error(message);
 * ```
 */
export function saveModel(
  model: Model,
  table: Pick<SignalTable, "machine" | "discrimination" | "signals">,
): ModelFile {
  const { machine: { machine, scale, iron_break }, discrimination, signals } = table;
  const settings = [...new Set(signals.map((signal) => signal.settings))]
    .sort((a, b) => (a ?? "") < (b ?? "") ? -1 : 1);
  const { low, high, step } = scale;
  return {
    ...model.toJSON(),
    learntOn: { machine, discrimination, scale: { low, high, step }, ironBreak: iron_break, settings },
  };
}
