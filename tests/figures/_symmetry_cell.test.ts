import { expect, test } from "vitest";
import { symmetryCell } from "../../lib/figures/_symmetry_cell.ts";
import { symmetryTest } from "../../lib/tones/symmetry_test.ts";

const of = { machine: "Machine A" };

test("symmetryCell() records the p value as it is and shows three decimals", () => {
  const even = symmetryCell(of, symmetryTest([[9, 6], [4, 9]]));
  // Chi-squared of 4/10 with one degree of freedom: p 0.527 (any table).
  expect(even.words).toBe("0.527");
  expect(even.result).toMatchObject({
    id: "tones.symmetryP",
    of,
    n: { disagreements: 10 },
    interval: { method: "Bowker's test, degrees of freedom 1, what is counted taken as independent" },
  });
});

test("symmetryCell() says when p is too small to show, and why there is none", () => {
  const uneven = symmetryCell(of, symmetryTest([[9, 40], [0, 9]]));
  expect(uneven.words).toBe("under 0.001");
  expect("value" in uneven.result && uneven.result.value).toBeLessThan(1e-9);
  expect(symmetryCell(of, symmetryTest([[9, 0], [0, 9]])).words).toBe(
    "no moves (Nothing lies off the diagonal; n\u00a0=\u00a018 counts)",
  );
});
