/**
 * Text without control characters but line ends, and without marks that turn the direction of reading: cells of a log must
 * not steer the terminal. Each is shown as U+FFFD.
 */
export const tame = (text: string): string =>
  // deno-lint-ignore no-control-regex
  text.replace(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/g, "\ufffd");
