import type { Machine, MachinesFile, SettingsSet, Trial } from "../log/mod.ts";
import type { KeyEntry } from "./_renamer.ts";
import { givesAway, type Secrets } from "./find_leaks.ts";

/** Names that are shown as they were written, by kind, and what stands for one that is held back. */
const UNNAMED = {
  machine: "unnamed machine",
  settings: "unnamed settings",
  "tone scheme": "unnamed tones",
  "tone band": "unnamed band",
  mode: "unnamed mode",
  software: "unnamed software",
  "test object": "unnamed object",
} as const;
export type NameKind = keyof typeof UNNAMED;

/**
 * Shows names of machines, settings, tones and test objects as they were written, but for those with a place, a person or
 * a day of the log in them, or a place written as coordinates: these get a number, and the key says which.
 */
export class ShownNames {
  readonly key: KeyEntry[] = [];
  readonly #secrets: readonly Secrets[];
  readonly #names = new Map<string, string>();

  constructor(secrets: readonly Secrets[]) {
    this.#secrets = secrets;
  }

  of<Name extends string | null>(kind: NameKind, name: Name): Name {
    if (name === null) return name;
    const id = `${kind}\n${name}`;
    const known = this.#names.get(id);
    if (known !== undefined) return known as Name;
    // Nobody's own name may look like one that stands for another.
    const held = name.startsWith(UNNAMED[kind]) || givesAway(name, this.#secrets);
    const now = held
      ? `${UNNAMED[kind]} ${this.key.filter((entry) => entry.kind === kind).length + 1}`
      : name;
    if (held) this.key.push({ kind, was: name, now });
    this.#names.set(id, now);
    return now as Name;
  }

  readonly band = (name: string): string => this.of("tone band", name);
  readonly object = (name: string | null): string | null => this.of("test object", name);

  readonly machine = <Entry extends Pick<Machine, "machine" | "tones">>(entry: Entry): Entry => ({
    ...entry,
    machine: this.of("machine", entry.machine),
    tones: {
      ...entry.tones,
      name: this.of("tone scheme", entry.tones.name),
      bands: entry.tones.bands.map((each) => ({ ...each, name: this.band(each.name) })),
    },
  });

  readonly set = <Entry extends Omit<SettingsSet, "notes">>(entry: Entry): Entry => ({
    ...entry,
    settings: this.of("settings", entry.settings),
    machine: this.of("machine", entry.machine),
    mode: this.of("mode", entry.mode),
    software_version: this.of("software", entry.software_version),
  });

  /** Every name as it is shown, by kind: of machines and settings that are as they will be published, and of trials. */
  list(
    { machines, settings }: Pick<MachinesFile, "machines" | "settings">,
    trials: readonly Pick<Trial, "target" | "neighbour" | "neighbour_kind">[],
  ): { readonly kind: string; readonly names: readonly string[] }[] {
    const listed = (kind: string, names: readonly (string | null)[]) => ({
      kind,
      names: [...new Set(names.filter((name) => name !== null))].sort(),
    });
    return [
      listed("machines", machines.map(({ machine }) => machine)),
      listed(
        "tone schemes and their bands",
        machines.flatMap(({ tones }) => [tones.name, ...tones.bands.map(({ name }) => name)]),
      ),
      listed("settings", settings.map((set) => set.settings)),
      listed(
        "modes and versions of software",
        settings.flatMap(({ mode, software_version }) => [mode, software_version]),
      ),
      listed(
        "test objects",
        trials.flatMap(({ target, neighbour, neighbour_kind }) =>
          [target, neighbour, neighbour_kind].map(this.object)
        ),
      ),
    ];
  }
}
