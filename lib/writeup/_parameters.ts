import type { ParameterValue } from "./run_notebook.ts";

/**
 * Checks that a notebook declares what it is given. `declared` holds the names and literal values of the cell tagged
 * `parameters`, null where there is none.
 *
 * Throws RangeError for a name that is not declared, TypeError for a value of another type than the one declared.
 */
export function checkParameters(
  given: Readonly<Record<string, ParameterValue>>,
  declared: ReadonlyMap<string, unknown> | null,
): void {
  for (const [name, value] of Object.entries(given)) {
    if (declared === null) {
      throw new RangeError(`Cannot set parameter ${name}: no cell of the notebook has the tag "parameters"`);
    }
    if (!declared.has(name)) {
      const known = [...declared.keys()].join(", ");
      throw new RangeError(`Cannot set parameter ${name}: the notebook declares only ${known}, got ${name}`);
    }
    const usual = declared.get(name);
    if (usual !== undefined && kindOf(usual) !== kindOf(value)) {
      throw new TypeError(
        `Cannot set parameter ${name}: it must be a ${kindOf(usual)}, got a ${kindOf(value)}`,
      );
    }
    const bad = [value].flat().find((each) => typeof each === "number" && !Number.isFinite(each));
    if (bad !== undefined) {
      throw new RangeError(`Cannot set parameter ${name}: it must be finite, got ${bad}`);
    }
  }
}

const kindOf = (value: unknown): string => Array.isArray(value) ? "list" : typeof value;

/** The text of the cell that sets parameters to other values. */
export function injectedSource(given: Readonly<Record<string, ParameterValue>>): string {
  return Object.entries(given).map(([name, value]) => `const ${name} = ${JSON.stringify(value)};`).join("\n");
}
