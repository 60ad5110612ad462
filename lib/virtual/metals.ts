/** A metal as the formulas need it. */
export interface Metal {
  readonly conductivitySPerM: number;
  readonly relativePermeability: number;
}

const metal = (conductivitySPerM: number, relativePermeability = 1): Metal => ({
  conductivitySPerM,
  relativePermeability,
});

/**
 * Conductivities at 20 C (S/m) and relative permeabilities of plain metals, all from memory after common handbook tables (CRC Handbook of
 * Chemistry and Physics gives resistivities of 16.8 nohm m for copper, 26.5 for aluminium, 208 for lead, 96 for iron). Alloys, wrought iron and anything that has
 * lain in the ground differ from these; 100 for iron in weak fields is a round figure.
 */
export const METALS: Readonly<
  Record<
    "copper" | "silver" | "brass" | "bronze" | "lead" | "tin" | "aluminium" | "wroughtIron" | "castIron",
    Metal
  >
> = {
  copper: metal(5.95e7),
  silver: metal(6.3e7),
  brass: metal(1.5e7),
  bronze: metal(7e6),
  lead: metal(4.8e6),
  tin: metal(8.7e6),
  aluminium: metal(3.77e7),
  wroughtIron: metal(6e6, 100),
  castIron: metal(1.3e6, 60),
};
