/** Repeats the demo dig log's sound rows until there are `rows`, each under an id of its own. */
export function largeLog(rows: number): Uint8Array {
  const path = new URL("../datasets/demo/dig-log.csv", import.meta.url);
  const [head, ...lines] = Deno.readTextFileSync(path).trimEnd().split("\n");
  const columns = head!.split(",").length;
  const plain = lines.filter((line) => line.split(",").length === columns && !line.includes('"'));
  const text = [head];
  for (let i = 0; i < rows; i++) text.push(plain[i % plain.length]!.replace(/^[^,]*/, `L${i}`));
  return new TextEncoder().encode(`${text.join("\n")}\n`);
}
