/** Why a write-up cannot be put where it was asked for: `input` is for the person to mend, `ours` is not (disk, bug). */
export class OutputFault extends Error {
  override readonly name = "OutputFault";
  constructor(message: string, readonly kind: "input" | "ours", options?: ErrorOptions) {
    super(message, options);
  }
}
