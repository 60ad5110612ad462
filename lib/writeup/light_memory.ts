/**
 * Flags of V8 that keep a process small while others work beside it: new objects are cleared away more often, and a heap grows by
 * half where it would grow fourfold. What a program works out they do not change.
 */
export const LIGHT_V8_FLAGS = "--max-semi-space-size=4,--heap-growing-percent=50";

/** What glibc must be told to give large pieces of memory back at once; other systems pass over it. */
export const LIGHT_ENVIRONMENT: Readonly<Record<string, string>> = {
  MALLOC_MMAP_THRESHOLD_: "65536",
  MALLOC_TRIM_THRESHOLD_: "65536",
};
