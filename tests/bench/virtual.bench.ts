// A sweep of 200 positions under two loops: with the field worked out at each position, from tables, and the same in numpy where it is installed.
// Ask for 20,000 sweeps a second of one object: no more than 50 microseconds each.
import { numpySweep } from "./_numpy_sweep.ts";
import {
  fieldTables,
  layObject,
  METALS,
  rodResponse,
  sweepSignal,
  virtualSeason,
} from "../../lib/virtual/mod.ts";

const nail = layObject(
  rodResponse({ lengthMm: 58, diameterMm: 4 }, { ...METALS.wroughtIron, frequencyHz: 8000 }),
  {
    shape: "rod",
    depthCm: 8,
    tiltDeg: 20,
    headingDeg: 60,
  },
);
for (const winding of ["concentric", "overlapped"] as const) {
  const coil = { winding, diameterCm: 28 };
  const tables = fieldTables(coil);
  Deno.bench(
    `sweep of 200 positions, ${winding}, field worked out`,
    { group: winding, baseline: true },
    () => {
      sweepSignal([nail], coil, { positions: 200 });
    },
  );
  Deno.bench(`sweep of 200 positions, ${winding}, from tables`, { group: winding }, () => {
    sweepSignal([nail], coil, { positions: 200, tables });
  });
}

Deno.bench("a virtual season of 1,000 signals", { group: "season", n: 3, warmup: 1 }, () => {
  for (const _ of virtualSeason({ signals: 1000, seed: 1 }));
});

// The same in numpy, the positions of 50 sweeps at once, in the same run: the best of 20 rounds, as are ours.
for (const winding of ["concentric", "overlapped"] as const) {
  const coil = { winding, diameterCm: 28 }, tables = fieldTables(coil);
  const other = await numpySweep(nail, coil);
  const best = (options: { tables?: typeof tables }): number => {
    let least = Infinity;
    for (let round = 0; round < 20; round++) {
      const start = performance.now();
      for (let i = 0; i < 50; i++) sweepSignal([nail], coil, { positions: 200, ...options });
      least = Math.min(least, (performance.now() - start) * 20);
    }
    return least;
  };
  best({});
  const direct = best({}), tabled = best({ tables });
  console.log(
    other === null
      ? `${winding}: numpy is not installed, nothing to compare with`
      : `${winding}: numpy ${other.microseconds.toFixed(1)} us a sweep; field worked out ${
        (direct / other.microseconds).toFixed(2)
      } of that, from tables ${(tabled / other.microseconds).toFixed(2)}`,
  );
}
