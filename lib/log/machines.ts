import { z } from "zod";
import { FileFault } from "./file_fault.ts";
import { nearestWord } from "./nearest_word.ts";
import { WORDS } from "./words.ts";

const name = z.string().trim().min(1).max(100);
const finite = z.number();

const says = (meaning: string, unit: string | null = null) => ({ meaning, unit });

const toneBandSchema = z.object({
  name: name.meta(says("The band's name, as the log uses it in tone_heard.")),
  pitch_hz: finite.min(20).max(20_000).meta(says("The pitch that it sounds at.", "Hz")),
  loudness: finite.min(0).max(1).meta(says("How loud it sounds, 1 for full.", "share")),
});

const toneSchemeSchema = z.object({
  name: name.meta(says("The scheme's name.")),
  kind: z.enum(["bands", "sliding"]).meta(
    says("Bands with one tone each, or one tone that slides between two ends."),
  ),
  breaks: z.array(finite).meta(
    says(
      "The readings at which a new band begins, rising. A reading equal to a break is in the upper band.",
      "reading units",
    ),
  ),
  bands: z.array(toneBandSchema).min(1).meta(
    says("The bands from the lowest up, one more than there are breaks; of a sliding scheme its two ends."),
  ),
}).superRefine((scheme, context) => {
  const wanted = scheme.kind === "sliding" ? 2 : scheme.breaks.length + 1;
  if (scheme.bands.length !== wanted) {
    context.addIssue({
      code: "custom",
      path: ["bands"],
      message: scheme.kind === "sliding"
        ? `A sliding scheme has two bands, its ends, got ${scheme.bands.length}`
        : `A scheme with ${scheme.breaks.length} breaks has ${wanted} bands, got ${scheme.bands.length}`,
    });
  }
  if (scheme.breaks.some((value, i) => i > 0 && value <= scheme.breaks[i - 1]!)) {
    context.addIssue({ code: "custom", path: ["breaks"], message: "Breaks must rise" });
  }
  if (new Set(scheme.bands.map((band) => band.name)).size !== scheme.bands.length) {
    context.addIssue({ code: "custom", path: ["bands"], message: "Two bands have one name" });
  }
});

const machineSchema = z.object({
  machine: name.meta(says("The machine's name, as logs use it.")),
  scale: z.object({
    low: finite.meta(says("The lowest reading that it can show.", "reading units")),
    high: finite.meta(says("The highest reading that it can show.", "reading units")),
    step: finite.positive().meta(
      says("The difference between two readings next to each other.", "reading units"),
    ),
  }),
  iron_break: finite.meta(says("Readings below it count as iron.", "reading units")),
  tones: toneSchemeSchema,
  notes: z.string().optional().meta(says("Anything else. Never published.")),
}).superRefine((machine, context) => {
  const { low, high, step } = machine.scale;
  const steps = (high - low) / step;
  if (!(low < high)) context.addIssue({ code: "custom", path: ["scale"], message: "low must be below high" });
  else if (Math.abs(steps - Math.round(steps)) > 1e-9) {
    context.addIssue({ code: "custom", path: ["scale", "step"], message: "step must divide high - low" });
  }
  if (machine.iron_break < low || machine.iron_break > high) {
    context.addIssue({ code: "custom", path: ["iron_break"], message: "iron_break must lie on the scale" });
  }
  if (machine.tones.breaks.some((value) => value < low || value > high)) {
    context.addIssue({ code: "custom", path: ["tones", "breaks"], message: "Breaks must lie on the scale" });
  }
});

const settingsSchema = z.object({
  settings: name.meta(says("The set's name, as logs use it.")),
  machine: name.meta(says("Which machine it is for.")),
  coil: z.object({
    length_cm: finite.positive().max(300).meta(says("The coil's length, along the way walked.", "cm")),
    width_cm: finite.positive().max(300).meta(says("The coil's width, along the sweep.", "cm")),
    winding: z.enum(WORDS.winding).meta(
      says("How its windings lie: one round another, overlapping, or a single one."),
    ),
  }).nullable().default(null).meta(says("The coil, or null where it is not stated.")),
  discrimination: z.enum(WORDS.discrimination).default("not-stated").meta(
    says("Whether iron is silenced: a silent pass means another thing then."),
  ),
  frequency_khz: finite.positive().nullable().default(null).meta(says("The frequency it works at.", "kHz")),
  ground_balance: z.enum(["automatic", "manual", "fixed", "not-stated"]).default("not-stated").meta(
    says("How it is balanced to the ground."),
  ),
  iron_filter: finite.nullable().default(null).meta(says("The setting of its iron filter.", "machine units")),
  mode: name.nullable().default(null).meta(says("The search mode.")),
  recovery: finite.nullable().default(null).meta(says("The setting of its recovery speed.", "machine units")),
  sensitivity: finite.nullable().default(null).meta(says("The setting of its sensitivity.", "machine units")),
  software_version: name.nullable().default(null).meta(says("The version of its software.")),
  notes: z.string().optional().meta(says("Anything else. Never published.")),
});

/** The zod statement of a machines file. */
export const machinesFileSchema = z.object({
  schema: z.literal("overiron-machines/1"),
  machines: z.array(machineSchema).min(1),
  settings: z.array(settingsSchema).default([]),
}).superRefine((file, context) => {
  const machines = new Set<string>();
  file.machines.forEach((entry, i) => {
    if (machines.has(entry.machine)) {
      context.addIssue({ code: "custom", path: ["machines", i, "machine"], message: "Named twice" });
    }
    machines.add(entry.machine);
  });
  const ids = new Set<string>();
  file.settings.forEach((entry, i) => {
    if (ids.has(entry.settings)) {
      context.addIssue({ code: "custom", path: ["settings", i, "settings"], message: "Named twice" });
    }
    ids.add(entry.settings);
    if (!machines.has(entry.machine)) {
      const near = nearestWord(entry.machine, [...machines]);
      context.addIssue({
        code: "custom",
        path: ["settings", i, "machine"],
        message: `No such machine: ${JSON.stringify(entry.machine)}${
          near === null ? "" : `; nearest is ${JSON.stringify(near)}`
        }`,
      });
    }
  });
});

type Deep<T> = T extends readonly (infer Item)[] ? readonly Deep<Item>[]
  : T extends object ? { readonly [Key in keyof T]: Deep<T[Key]> }
  : T;

/** One band of a tone scheme: its name, pitch in hertz and loudness (0 to 1). */
export type ToneBand = Deep<z.output<typeof toneBandSchema>>;
/**
 * How a machine turns a reading into a tone. `breaks` rise; a reading equal to a break belongs to the upper band, so
 * there is one band more than there are breaks. A sliding scheme has two bands: the ends of its pitch.
 */
export type ToneScheme = Deep<z.output<typeof toneSchemeSchema>>;
/** A machine: the scale of its readings, the reading below which they count as iron, and its tones. */
export type Machine = Deep<z.output<typeof machineSchema>>;
/** A machine with a coil and a set of settings. */
export type SettingsSet = Deep<z.output<typeof settingsSchema>>;
/** What a machines file holds. */
export type MachinesFile = Deep<z.output<typeof machinesFileSchema>>;

/**
 * Reads a machines file (JSON) into checked machines and settings sets.
 *
 * Throws FileFault when the text is not JSON, or breaks a rule of the schema: the message names the first few places.
 *
 * @example
 * ```ts
 * import { parseMachines } from "overiron";
 * const file = parseMachines(JSON.stringify({
 *   schema: "overiron-machines/1",
 *   machines: [{
 *     machine: "Machine A",
 *     scale: { low: 0, high: 600, step: 1 },
 *     iron_break: 150,
 *     tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 *   }],
 * }));
 * if (file.machines[0]?.scale.high !== 600) throw new Error("wrong");
 * ```
 */
export function parseMachines(text: string, file = "machines.json"): MachinesFile {
  let value: unknown;
  try {
    value = JSON.parse(text.charCodeAt(0) === 0xfeff ? text.slice(1) : text);
  } catch (error) {
    throw new FileFault(`Cannot read ${file}: it must be JSON, got ${(error as Error).message}`, { file });
  }
  const result = machinesFileSchema.safeParse(value);
  if (result.success) return result.data;
  const issues = result.error.issues.slice(0, 5).map((issue) =>
    `${issue.path.join(".") || "top"}: ${issue.message}`
  );
  const more = result.error.issues.length - issues.length;
  throw new FileFault(
    `Cannot use ${file}: it must follow overiron-machines/1, got ${issues.join("; ")}${
      more > 0 ? `; and ${more} more` : ""
    }`,
    { file },
  );
}
