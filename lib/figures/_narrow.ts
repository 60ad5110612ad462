import type { Estimate } from "../numbers/mod.ts";
import { type ResultOf, type Stated, stated, type StatedOptions } from "./show.ts";

/** A number for a table cell: an absent one stands as its word, so that no sentence widens the column. */
export function narrow(id: string, of: ResultOf, estimate: Estimate, options: StatedOptions = {}): Stated {
  return stated(id, of, estimate, "absent" in estimate ? { ...options, form: "interval" } : options);
}

/** Why numbers of a table are absent, each reason once, for its caption: ". One site: all cases lie within one of the sites". */
export function whyAbsent(estimates: readonly Estimate[]): string {
  const reasons = new Set(estimates.flatMap((each) => {
    if (!("absent" in each)) return [];
    const reason = each.reason.charAt(0).toLowerCase() + each.reason.slice(1);
    return [`${each.absent.charAt(0).toUpperCase()}${each.absent.slice(1)}: ${reason}`];
  }));
  return [...reasons].map((reason) => `. ${reason}`).join("");
}
