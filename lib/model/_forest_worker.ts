import { growForest, type GrowForestOptions } from "./grow_forest.ts";

/** A part of a forest to grow, or a question whether the worker is there. */
export interface ForestJob {
  readonly columns: readonly Float64Array[];
  readonly outcome: Uint8Array;
  readonly options: GrowForestOptions;
}

const hand = self as unknown as {
  onmessage: (event: MessageEvent<ForestJob>) => void;
  postMessage(message: unknown, transfer?: Transferable[]): void;
};

hand.onmessage = ({ data: { columns, outcome, options } }) => {
  try {
    const { trees } = growForest(columns, outcome, options);
    const buffers = trees.flatMap((tree) => Object.values(tree).map(({ buffer }) => buffer as ArrayBuffer));
    hand.postMessage({ trees }, [...new Set(buffers)]);
  } catch (error) {
    hand.postMessage({ failed: (error as Error).message });
  }
};
hand.postMessage({ ready: true });
