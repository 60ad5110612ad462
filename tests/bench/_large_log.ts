import { chance } from "../../lib/numbers/mod.ts";
import { loadDigLog, parseMachines } from "../../lib/log/mod.ts";

export interface LargeLogOptions {
  /** The share of rows to which something is wrong. Default 0. */
  readonly faulty?: number;
}

const demo = new URL("../../datasets/demo/", import.meta.url);

/** What a person may get wrong in one cell or one row, and pandas still reads. */
const SLIPS: readonly ((cells: string[], column: (name: string) => number) => void)[] = [
  (cells, column) => void (cells[column("readings_right")] = "9999"),
  (cells, column) => void (cells[column("dug")] = "perhaps"),
  (cells, column) => void (cells[column("depth_indicated")] = "four hands"),
  (cells, column) => void (cells[column("date")] = "2025-02-30"),
  (cells) => void cells.pop(),
  (cells, column) => void (cells[column("readings_left")] = "-"),
  (cells, column) => void (cells[column("notes")] = 'a "stray" quote'),
  (cells, column) => void (cells[column("signal_id")] = "L0"),
];

/**
 * Repeats the demo dig log's sound rows until there are `rows`, each under an id of its own and with readings of its own:
 * every number is moved by up to five steps of the scale.
 */
export async function largeLog(rows: number, options: LargeLogOptions = {}): Promise<Uint8Array> {
  const { faulty = 0 } = options;
  const bytes = Deno.readFileSync(new URL("dig-log.csv", demo));
  const machines = parseMachines(Deno.readTextFileSync(new URL("machines.json", demo)));
  const [head, ...lines] = new TextDecoder().decode(bytes).trimEnd().split("\n");
  const plain = lines.filter((line) => !line.includes('"'));
  const { report } = await loadDigLog({
    name: "dig-log.csv",
    bytes: new TextEncoder().encode(`${[head, ...plain].join("\n")}\n`),
  }, machines);
  const wrong = new Set(report.rejected.map(({ record }) => record));
  const names = head!.split(",");
  const column = (name: string): number => names.indexOf(name);
  const sound = plain.filter((line, i) => !wrong.has(i + 1) && /[^,]/.test(line)).map((line) =>
    line.split(",")
  );
  const readings = names.flatMap((name, i) => name.startsWith("readings_") ? [i] : []);
  const scaleOf = new Map(
    machines.settings.map(({ settings, machine }) =>
      [settings, machines.machines.find((each) => each.machine === machine)!.scale] as const
    ),
  );
  const rng = chance(1, "bench/large-log", 0);
  const encoder = new TextEncoder();
  const parts: Uint8Array[] = [encoder.encode(`${head}\n`)];
  let text = "";
  for (let i = 0; i < rows; i++) {
    const cells = [...sound[i % sound.length]!];
    cells[0] = `L${i}`;
    const scale = scaleOf.get(cells[column("settings")]!);
    if (scale !== undefined) {
      for (const at of readings) {
        // Ranges and counts stay as they are.
        if (/\d[-x]|[a-z?~]\d/i.test(cells[at]!)) continue;
        cells[at] = cells[at]!.replace(/-?\d{2,}/g, (number) => {
          const moved = Number(number) + scale.step * (rng.integer(11) - 5);
          return String(Math.min(scale.high, Math.max(scale.low, moved)));
        });
      }
    }
    if (rng.next() < faulty) SLIPS[rng.integer(SLIPS.length)]!(cells, column);
    text += `${cells.join(",")}\n`;
    if (text.length > 1 << 20) {
      parts.push(encoder.encode(text));
      text = "";
    }
  }
  parts.push(encoder.encode(text));
  return await new Blob(parts as BlobPart[]).bytes();
}
