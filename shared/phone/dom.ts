// A few lines to build a page from, without markup as text: what was typed can never become part of the page's own code.
type Child = Node | string | null | undefined | false;

interface Attributes {
  readonly class?: string;
  readonly on?: Partial<Record<string, (event: Event) => void>>;
  readonly [name: string]: unknown;
}

export function h(
  tag: string,
  attributes: Attributes = {},
  ...children: (Child | readonly Child[])[]
): HTMLElement {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name === "on") {
      for (const [event, act] of Object.entries(value as Record<string, (event: Event) => void>)) {
        element.addEventListener(event, act);
      }
    } else element.setAttribute(name, value === true ? "" : String(value));
  }
  for (const child of children.flat()) {
    if (child === null || child === undefined || child === false) continue;
    element.append(child);
  }
  return element;
}

/** A button that says what it does; `key` finds it again after the page was drawn anew. */
export function button(text: string | Node, act: () => void, attributes: Attributes = {}): HTMLElement {
  return h("button", {
    type: "button",
    "data-key": typeof text === "string" ? text : undefined,
    ...attributes,
    on: { click: act },
  }, text);
}

/** A count with its word. */
export const many = (count: number, word: string): string => `${count} ${word}${count === 1 ? "" : "s"}`;

export interface Choice {
  readonly value: string;
  readonly text: string;
}

/** One of a few words, each a large button; pressing the chosen one again takes it back, since "not looked" is never "none". */
export function choices(options: {
  readonly name: string;
  readonly label: string;
  readonly of: readonly Choice[];
  readonly chosen: string | undefined;
  readonly locked?: boolean;
  readonly hint?: string;
  readonly choose: (value: string | null) => void;
}): HTMLElement {
  const { name, label, of, chosen, locked, hint, choose } = options;
  const id = `label-${name}`;
  return h(
    "div",
    { class: "choices", role: "group", "aria-labelledby": id },
    h(
      "p",
      { id, class: "label" },
      label,
      hint === undefined ? null : h("span", { class: "hint" }, ` ${hint}`),
    ),
    h(
      "div",
      { class: `row of${of.length}` },
      of.map(({ value, text }) =>
        button(text, () => choose(chosen === value ? null : value), {
          class: "choice",
          "aria-pressed": String(chosen === value),
          "data-key": `${name}=${value}`,
          disabled: locked === true && chosen !== value,
        })
      ),
    ),
  );
}

/** A line to type in; every keystroke is passed on at once. */
export function entry(options: {
  readonly name: string;
  readonly label: string;
  readonly value: string | undefined;
  readonly type?: string;
  readonly hint?: string;
  readonly mode?: string;
  readonly list?: readonly string[];
  readonly long?: boolean;
  readonly put: (value: string) => void;
}): HTMLElement {
  const { name, label, value = "", type = "text", hint, mode, list = [], long, put } = options;
  const id = `entry-${name}`, listId = `list-${name}`;
  const put_ = (event: Event): void => {
    const line = event.target as HTMLInputElement;
    const typed = mode === "numeric"
      ? line.value.replace(/\D/g, "").slice(0, 3)
      : mode === "decimal"
      ? /^-?\d*\.?\d*/.exec(line.value.replace(",", "."))![0]
      : line.value;
    if (typed !== line.value) line.value = typed;
    put(typed);
  };
  const box = h(long ? "textarea" : "input", {
    id,
    "data-key": id,
    type: long ? undefined : type,
    inputmode: mode,
    autocomplete: "off",
    autocapitalize: "sentences",
    rows: long ? 2 : undefined,
    list: list.length > 0 ? listId : undefined,
    "aria-describedby": hint === undefined ? undefined : `${id}-hint`,
    on: { input: put_ },
  }) as HTMLInputElement;
  box.value = value;
  return h(
    "div",
    { class: "entry" },
    h("label", { for: id, class: "label" }, label),
    hint === undefined ? null : h("p", { id: `${id}-hint`, class: "hint" }, hint),
    box,
    list.length === 0
      ? null
      : h("datalist", { id: listId }, list.map((word) => h("option", { value: word }))),
  );
}
