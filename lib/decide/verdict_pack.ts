import type { ModelFile } from "../model/classifier.ts";

/** A tree of a saved forest, as `toJSON` of a forest writes it. */
interface SavedTree {
  readonly feature: readonly number[];
  readonly threshold: readonly (number | null)[];
  readonly missingLeft: readonly (0 | 1)[];
  readonly left: readonly number[];
  readonly shares: readonly number[];
}

interface PackedTrees {
  /** Each split that occurs, once: feature, threshold, side of the missing. */
  readonly splits: readonly (readonly [number, number | null, 0 | 1])[];
  /** Shares of each leaf that occurs, once. */
  readonly leaves: readonly (readonly number[])[];
  /** Trees one after the other, each node before its left and then its right branch: splits first, then leaves; 16 bits, base64. */
  readonly nodes: string;
  readonly trees: number;
}

const SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/** Three signs of base64 hold 18 bits: one number each, up to 262143. */
function packNumbers(numbers: readonly number[]): string {
  return numbers.map((n) => SIGNS[n >> 12 & 63]! + SIGNS[n >> 6 & 63]! + SIGNS[n & 63]!).join("");
}

function unpackNumbers(text: string): Uint32Array {
  const value = new Uint8Array(128);
  for (let i = 0; i < 64; i++) value[SIGNS.charCodeAt(i)] = i;
  const numbers = new Uint32Array(text.length / 3);
  for (let i = 0; i < numbers.length; i++) {
    const at = 3 * i;
    numbers[i] = value[text.charCodeAt(at)]! << 12 | value[text.charCodeAt(at + 1)]! << 6 |
      value[text.charCodeAt(at + 2)]!;
  }
  return numbers;
}

function packTrees(trees: readonly SavedTree[]): PackedTrees | null {
  const splits = new Map<string, number>(), leaves = new Map<string, number>();
  const splitList: [number, number | null, 0 | 1][] = [], leafList: number[][] = [];
  const codes: { readonly split: boolean; readonly at: number }[] = [];
  const placeOf = (known: Map<string, number>, key: string, add: () => void): number => {
    const place = known.get(key);
    if (place !== undefined) return place;
    known.set(key, known.size);
    add();
    return known.size - 1;
  };
  for (const { feature, threshold, missingLeft, left, shares } of trees) {
    const leafOf = new Map<number, number>();
    feature.forEach((j, node) => {
      if (j < 0) leafOf.set(node, leafOf.size);
    });
    const walk = (node: number): void => {
      const leaf = leafOf.get(node);
      if (leaf !== undefined) {
        const at = shares.slice(3 * leaf, 3 * leaf + 3);
        codes.push({ split: false, at: placeOf(leaves, JSON.stringify(at), () => leafList.push([...at])) });
        return;
      }
      const split: [number, number | null, 0 | 1] = [feature[node]!, threshold[node]!, missingLeft[node]!];
      codes.push({ split: true, at: placeOf(splits, JSON.stringify(split), () => splitList.push(split)) });
      walk(left[node]!);
      walk(left[node]! + 1);
    };
    walk(0);
  }
  if (splitList.length + leafList.length >= 1 << 18) return null;
  const nodes = packNumbers(codes.map(({ split, at }) => split ? at : splitList.length + at));
  return { splits: splitList, leaves: leafList, nodes, trees: trees.length };
}

function unpackTrees({ splits, leaves, nodes, trees }: PackedTrees): SavedTree[] {
  const codes = unpackNumbers(nodes);
  let next = 0;
  return Array.from({ length: trees }, () => {
    const feature = [0], threshold: (number | null)[] = [0], missingLeft: (0 | 1)[] = [0], left = [0];
    const sharesAt = new Map<number, readonly number[]>();
    const grow = (node: number): void => {
      const code = codes[next++]!;
      const split = splits[code];
      if (split === undefined) {
        feature[node] = -1;
        threshold[node] = 0;
        missingLeft[node] = 0;
        left[node] = 0;
        sharesAt.set(node, leaves[code - splits.length]!);
        return;
      }
      [feature[node], threshold[node], missingLeft[node]] = split;
      const at = feature.length;
      left[node] = at;
      for (const list of [feature, left]) list.push(0, 0);
      threshold.push(0, 0);
      missingLeft.push(0, 0);
      grow(at);
      grow(at + 1);
    };
    grow(0);
    const shares = feature.flatMap((j, node) => j < 0 ? [...sharesAt.get(node)!] : []);
    return { feature, threshold, missingLeft, left, shares };
  });
}

const isForest = (file: ModelFile): boolean => file.engine === "forest";

/**
 * Makes a saved model small enough to carry: a forest's splits and leaves are written once each and its trees as rows of numbers. Nothing is
 * rounded: `unpackModel` gives a model of the same probabilities, to the last bit. Other models come back as they are.
 *
 * @example
 * ```ts
 * import { packModel, unpackModel } from "overiron";
 * const tree = { feature: [0, -1, -1], threshold: [5, 0, 0], missingLeft: [0, 0, 0], left: [1, 0, 0], shares: [1, 0, 0, 0, 0.1, 0.9] };
 * const model = { schema: "overiron-model/2" as const, engine: "forest", name: "forest", learntFrom: 9, features: ["centre"],
 *   outcomes: ["ferrous", "non-ferrous", "masked-good"] as ["ferrous", "non-ferrous", "masked-good"],
 *   parameters: { features: ["centre"], trees: [tree] } };
 * const again = unpackModel(packModel(model));
 * if (JSON.stringify(again) !== JSON.stringify(model)) throw new Error(JSON.stringify(again));
 * ```
 */
export function packModel(file: ModelFile): ModelFile {
  const parameters = file.parameters as { inner?: ModelFile; trees?: SavedTree[] };
  if (file.engine === "two-classes") {
    return { ...file, parameters: { ...parameters, inner: packModel(parameters.inner!) } };
  }
  if (!isForest(file)) return file;
  const packed = packTrees(parameters.trees!);
  return packed === null ? file : { ...file, parameters: { ...parameters, trees: packed } };
}

/**
 * Gives the saved model back that `packModel` made small; another model comes back as it is.
 *
 * @example
 * ```ts
 * import { baseRates, packModel, unpackModel } from "overiron";
 * const group = Int32Array.of(0);
 * const x = { n: 1, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const model = baseRates().fit(x, Uint8Array.of(0), { seed: 1 }).toJSON();
 * if (unpackModel(packModel(model)) !== model) throw new Error("nothing to pack, nothing changed");
 * ```
 */
export function unpackModel(file: ModelFile): ModelFile {
  const parameters = file.parameters as { inner?: ModelFile; trees?: PackedTrees | SavedTree[] };
  if (file.engine === "two-classes") {
    return { ...file, parameters: { ...parameters, inner: unpackModel(parameters.inner!) } };
  }
  if (!isForest(file) || Array.isArray(parameters.trees)) return file;
  return { ...file, parameters: { ...parameters, trees: unpackTrees(parameters.trees as PackedTrees) } };
}
