/** Days since 1970-01-01 of a day written YYYY-MM-DD, and back, in the Gregorian calendar without a clock (after Hinnant, from memory). */
function daysOf(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400), ofEra = y - era * 400;
  const ofYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  return era * 146097 + ofEra * 365 + Math.floor(ofEra / 4) - Math.floor(ofEra / 100) + ofYear - 719468;
}

/** Gives the day so many days after another, both as YYYY-MM-DD. */
export function dayAfter(start: string, days: number): string {
  const [year, month, day] = start.split("-").map(Number) as [number, number, number];
  const z = daysOf(year, month, day) + days + 719468;
  const era = Math.floor(z / 146097), ofEra = z - era * 146097;
  const yearOfEra = Math.floor(
    (ofEra - Math.floor(ofEra / 1460) + Math.floor(ofEra / 36524) - Math.floor(ofEra / 146096)) / 365,
  );
  const dayOfYear = ofEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const shifted = Math.floor((5 * dayOfYear + 2) / 153);
  const d = dayOfYear - Math.floor((153 * shifted + 2) / 5) + 1;
  const m = shifted < 10 ? shifted + 3 : shifted - 9;
  const y = yearOfEra + era * 400 + (m <= 2 ? 1 : 0);
  return `${String(y).padStart(4, "0")}-${String(m).padStart(2, "0")}-${String(d).padStart(2, "0")}`;
}
