import type { Machine } from "../../lib/log/machines.ts";
import { type PadKey, padPasses, pressKey } from "../../lib/writeup/phone_keypad.ts";
import { numberFault } from "../../lib/writeup/phone_log.ts";
import { button, h } from "./dom.ts";

/** One cell that the keypad may write into. */
export interface PadCell {
  readonly name: string;
  readonly label: string;
  readonly value: string | undefined;
  /** Numbers of passes, or one plain number such as a depth. */
  readonly kind?: "readings" | "number";
}

/** How a readings cell is shown while it is written: a word for a pass without a number. */
export const shownCell = (value: string | undefined): string =>
  (value ?? "").split(" ").map((token) => token === "." ? "none" : token).join("   ").trimEnd();

/**
 * The cells and the keypad below them. Digits go to the cell at hand; the key at the lower right goes on to the next cell.
 */
export function pad(options: {
  readonly cells: readonly PadCell[];
  readonly at: string;
  readonly scale: Machine["scale"];
  readonly choose: (name: string) => void;
  readonly write: (name: string, value: string) => void;
  readonly onward: { readonly text: string; readonly go: () => void };
}): { readonly cells: HTMLElement; readonly keys: HTMLElement; readonly press: (key: PadKey) => void } {
  const { cells, at, scale, choose, write, onward } = options;
  const cell = cells.find(({ name }) => name === at) ?? cells[0]!;
  const plain = cell.kind === "number";
  const press = (key: PadKey): void => write(cell.name, pressKey(cell.value ?? "", key));
  const fault = (each: PadCell): string | null =>
    each.kind === "number" ? numberFault(each.name, each.value ?? "") : padPasses(each.value, scale).fault;
  const key = (text: string, name: PadKey, attributes: Record<string, unknown> = {}): HTMLElement =>
    button(text, () => press(name), { "data-key": `pad-${name}`, ...attributes });
  const onwardLook = { class: "word onward", "data-key": "pad-onward" };
  return {
    press,
    cells: h(
      "div",
      { class: "cells" },
      cells.map((each) => {
        const wrong = fault(each);
        return h(
          "button",
          {
            type: "button",
            class: "cell",
            "data-key": `cell-${each.name}`,
            "aria-pressed": String(each.name === cell.name),
            on: { click: () => choose(each.name) },
          },
          h("span", { class: "label" }, each.label),
          h("span", { class: "value" }, shownCell(each.value) || "\u00a0"),
          wrong === null ? null : h("span", { class: "fault" }, `Not readable: ${wrong}`),
        );
      }),
    ),
    keys: h(
      "div",
      { class: "keys", role: "group", "aria-label": `Keypad for ${cell.label}` },
      plain ? null : h(
        "div",
        { class: "words" },
        key("next pass", "next"),
        key("no number", "none"),
        key("to", "to", { "aria-label": "to: joins lowest, usual and highest" }),
        scale.low < 0 ? key("minus", "minus") : null,
        Number.isInteger(scale.step) ? null : key("point", "."),
      ),
      h(
        "div",
        { class: "digits" },
        ["1", "2", "3", "4", "5", "6", "7", "8", "9"].map((digit) => key(digit, digit as PadKey)),
        plain ? key("point", ".", { class: "word" }) : key("erase", "erase", { class: "word" }),
        key("0", "0"),
        plain ? key("erase", "erase", { class: "word" }) : button(onward.text, onward.go, onwardLook),
      ),
      plain ? button(onward.text, onward.go, onwardLook) : null,
    ),
  };
}
