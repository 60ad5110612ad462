import type { MappingPatch } from "./amend_mapping.ts";
import type { MappedColumn } from "./mapping.ts";
import type { Draft } from "./_proposal.ts";

/** Adds to what the draft says of one column, unless it was given. */
export function say(
  draft: Draft,
  column: MappedColumn,
  more: Partial<MappedColumn>,
  why: string,
  samples: readonly string[],
): void {
  put(draft, {
    columns: [{
      heading: column.heading,
      ...(column.field === undefined ? {} : { field: column.field }),
      ...more,
    }],
  });
  draft.reasons.push({ heading: column.heading, field: column.field ?? null, text: why, samples });
}

/** Joins a patch to the draft's own. */
export function put(draft: Draft, patch: MappingPatch): void {
  const { columns = [], empty = [], finds = [], readings, constants } = patch;
  const own = draft.patch;
  draft.patch = {
    ...own,
    columns: [...own.columns ?? [], ...columns],
    empty: [...own.empty ?? [], ...empty],
    finds: [...own.finds ?? [], ...finds],
    ...(readings === undefined ? {} : { readings: { ...own.readings, ...readings } }),
    ...(constants === undefined ? {} : { constants: { ...own.constants, ...constants } }),
  };
}

/** Up to three, to show. */
export const few = (values: readonly string[]): readonly string[] => values.slice(0, 3);
