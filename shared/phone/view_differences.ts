import type { PhoneOuting, PhoneSignal } from "../../lib/writeup/phone_log.ts";
import { type DifferentRecord, putEarlierBack, takeFileVersion } from "../../lib/writeup/phone_merge.ts";
import type { App } from "./app.ts";
import { button, h, many } from "./dom.ts";

/** What the file brought in last tells otherwise than the phone, until the person has decided. */
let open: readonly DifferentRecord[] = [];

export const showDifferences = (different: readonly DifferentRecord[]): void => {
  open = different;
};

function titleOf(app: App, kind: DifferentRecord["kind"], id: string): string {
  const signal = kind === "signals" ? app.store.signals.get(id) : undefined;
  const outing = app.store.outings.get(signal?.outing ?? id);
  const place = `${outing?.values.site ?? "no site"}, ${outing?.values.date ?? "no date"}`;
  return signal === undefined ? `Outing ${place}` : `Signal ${signal.number} of ${place}`;
}

const plain = (field: string): string =>
  field.replace(/^[a-z]/, (sign) => sign.toUpperCase()).replaceAll("_", " ");

function differenceView(app: App, record: DifferentRecord): HTMLElement {
  const { kind, id, cells, values, finds } = record;
  const asked = app.asking === `take-${id}`;
  const done = (word: string): void => {
    open = open.filter((each) => each !== record);
    app.asking = null;
    app.notice = word;
    app.draw();
  };
  const title = titleOf(app, kind, id);
  return h(
    "section",
    { class: "difference", "aria-label": title },
    h("h3", {}, title),
    h(
      "dl",
      {},
      cells.flatMap(({ field, here, file }) => [
        h("dt", {}, plain(field)),
        h("dd", {}, h("span", {}, `phone: ${here || "empty"}`), h("span", {}, `file: ${file || "empty"}`)),
      ]),
    ),
    asked ? h("p", {}, "Take the file's version? The phone's is kept, and can be put back.") : null,
    h(
      "div",
      { class: "row of2" },
      button(
        asked ? "No, the phone's" : "Keep the phone's",
        () => done(`${title}: the phone's version stands.`),
        {
          "data-key": `keep-${id}`,
        },
      ),
      asked
        ? button("Take it", () => {
          const version = finds === undefined ? { values } : { values, finds };
          app.store.change(kind, id, (each) => takeFileVersion(each, version));
          done(`${title}: the file's version stands, the phone's is kept below.`);
        }, { class: "danger", "data-key": `taken-${id}` })
        : button("Take the file's", () => {
          app.asking = `take-${id}`;
          app.draw();
        }, { "data-key": `take-${id}` }),
    ),
  );
}

export function differencesView(app: App): HTMLElement[] {
  return open.length === 0 ? [] : [
    h("h2", {}, `The file differs in ${many(open.length, "record")}`),
    ...open.map((record) => differenceView(app, record)),
  ];
}

/** Records of which an earlier version is kept, each with the way back. */
export function earlierView(app: App): HTMLElement[] {
  const kept = (kind: DifferentRecord["kind"], records: Iterable<PhoneOuting | PhoneSignal>) =>
    [...records].filter(({ earlier, deleted }) => !deleted && (earlier?.length ?? 0) > 0).map(({ id }) => ({
      kind,
      id,
    }));
  const all = [
    ...kept("outings", app.store.outings.values()),
    ...kept("signals", app.store.signals.values()),
  ];
  return all.length === 0 ? [] : [
    h("h2", {}, "Earlier versions kept on this phone"),
    ...all.map(({ kind, id }) => {
      const title = titleOf(app, kind, id);
      return button(`${title}: put the earlier version back`, () => {
        app.store.change(kind, id, putEarlierBack);
        app.notice = `${title}: the earlier version stands; the other is kept in its place.`;
        app.draw();
      }, { class: "wide", "data-key": `back-${id}` });
    }),
  ];
}
