import { phoneCsv, phoneJson, standingSignals } from "../../lib/writeup/phone_log.ts";
import { mergePhoneFile } from "../../lib/writeup/phone_merge.ts";
import type { App } from "./app.ts";
import { button, choices, h, many } from "./dom.ts";
import { differencesView, earlierView, showDifferences } from "./view_differences.ts";

let withCoordinates = false;
/** The file made last, until the person says whether it arrived. */
let made: { readonly name: string; readonly revision: number } | null = null;

function fileName(app: App, ending: string): string {
  const standing = standingSignals(app.store.log());
  const day = standing.reduce(
    (most, { outing }) => (outing.values.date ?? "") > most ? outing.values.date! : most,
    "",
  );
  return `dig-log-${day === "" ? "undated" : day}-${standing.length}-signals.${ending}`;
}

function save(app: App, ending: "csv" | "json"): void {
  const options = { coordinates: withCoordinates };
  const text = ending === "csv" ? phoneCsv(app.store.log(), options) : phoneJson(app.store.log(), options);
  const name = fileName(app, ending);
  const address = URL.createObjectURL(
    new Blob([text], { type: ending === "csv" ? "text/csv" : "application/json" }),
  );
  const link = h("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
  made = { name, revision: app.store.meta.revision };
  app.notice = "";
  app.draw();
}

async function share(app: App): Promise<void> {
  const name = fileName(app, "csv");
  const file = new File([phoneCsv(app.store.log(), { coordinates: withCoordinates })], name, {
    type: "text/csv",
  });
  try {
    await navigator.share({ files: [file] });
    made = { name, revision: app.store.meta.revision };
  } catch {
    app.notice = "Nothing was sent.";
  }
  app.draw();
}

async function bringBack(app: App, file: File): Promise<void> {
  try {
    const text = new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
    const { newOutings, newSignals, same, different } = mergePhoneFile(app.store.log(), text, {
      name: file.name,
    });
    if (newOutings.length > 0) app.store.add("outings", newOutings);
    if (newSignals.length > 0) app.store.add("signals", newSignals);
    showDifferences(different);
    app.notice = `${many(newSignals.length, "signal")} came back, ${same} were here already` +
      (different.length === 0
        ? "."
        : `. ${
          many(different.length, "record")
        } on this phone and in the file differ: the phone's stand, unless you take the file's below.`);
  } catch (error) {
    app.notice = error instanceof SyntaxError
      ? `${error.message}.`
      : "This file is not text in UTF-8. Nothing on this phone was changed.";
  }
  app.draw();
}

export function filesView(app: App): HTMLElement[] {
  const log = app.store.log();
  const standing = standingSignals(log);
  const unsaved = app.store.unsaved();
  const places = standing.filter(({ signal }) => signal.values.latitude !== undefined).length;
  const canShare = "canShare" in navigator &&
    navigator.canShare({ files: [new File([""], "a.csv", { type: "text/csv" })] });
  const input = h("input", {
    type: "file",
    id: "bring",
    "data-key": "bring",
    accept: ".csv,.json,text/csv,application/json",
    on: {
      change: (event) => {
        const file = (event.target as HTMLInputElement).files?.[0];
        if (file !== undefined) void bringBack(app, file);
      },
    },
  });
  return [
    h("h1", { tabindex: "-1" }, "Files"),
    h(
      "p",
      {},
      `${many(standing.length, "signal")} on this phone, ${unsaved} of them in no file as they are now.`,
    ),
    made === null ? null : h(
      "div",
      { class: "remind" },
      h("p", {}, `Look among your downloads for ${made.name}. Is it there?`),
      h(
        "div",
        { class: "row of2" },
        button("Not there", () => {
          made = null;
          app.notice = "Then it counts as not saved. Try again, or the other kind of file.";
          app.draw();
        }),
        button("It is there", () => {
          app.store.noteSaved(made!.revision);
          made = null;
          app.notice = "Good: that file holds everything so far.";
          app.draw();
        }, { class: "main" }),
      ),
    ),
    places === 0 ? null : choices({
      name: "coordinates",
      label: `Coordinates of ${many(places, "signal")}`,
      of: [{ value: "yes", text: "put them into the file" }],
      chosen: withCoordinates ? "yes" : undefined,
      choose: (value) => {
        withCoordinates = value !== null;
        app.draw();
      },
    }),
    h(
      "div",
      { class: "row of2" },
      button("Save CSV", () => save(app, "csv"), { disabled: standing.length === 0, class: "main" }),
      button("Save JSON", () => save(app, "json"), { disabled: standing.length === 0 }),
    ),
    canShare
      ? button("Send the CSV", () => void share(app), { class: "wide", disabled: standing.length === 0 })
      : null,
    h("h2", {}, "Bring back from a file"),
    h(
      "p",
      { class: "soft" },
      "A CSV or JSON that this page saved. It adds what is missing and changes nothing that is here, until you say so.",
    ),
    h("label", { class: "file", for: "bring" }, "Choose a file", input),
    ...differencesView(app),
    ...earlierView(app),
    h("div", { class: "bar" }, button("Back", () => app.go({ view: "home" }))),
  ].filter((each) => each !== null);
}
