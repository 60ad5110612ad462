/** One option of a task. `value` names what it takes; without it the option is a switch. */
export interface TaskOption {
  readonly value?: string;
  readonly meaning: string;
}

/** What a task is called with and does: the help text, and what the command line is checked against. */
export interface Task {
  readonly summary: string;
  /** Names of the files it takes, in order; all of them optional. */
  readonly files: readonly string[];
  readonly options: Readonly<Record<string, TaskOption>>;
  readonly more?: string;
}

/** Options of every task that reads a log. What they say is found out, or asked for by a message, without them. */
const reading: Readonly<Record<string, TaskOption>> = {
  format: { value: "FORMAT", meaning: "csv, xlsx, json, ndjson, geojson, gpx or zip" },
  encoding: {
    value: "NAME",
    meaning: "utf-8, utf-16le, utf-16be, windows-1252 or another that a message lists",
  },
  delimiter: { value: "MARK", meaning: "what splits the fields: comma, semicolon, tab or bar" },
  quote: { value: "MARK", meaning: "what fields are quoted with: double, single or none" },
  decimal: { value: "MARK", meaning: "the mark before decimals: point or comma" },
  sheet: { value: "NAME", meaning: "which sheet of a workbook" },
  "follow-links": { meaning: "read a log through a symbolic link" },
  "max-file-bytes": {
    value: "N",
    meaning: "the largest file read (default: 512M; K, M and G may stand behind)",
  },
  "max-row-bytes": { value: "N", meaning: "the longest row (default: 1M)" },
  "max-unpacked-bytes": {
    value: "N",
    meaning: "the most that an archive or workbook unpacks to (default: 512M)",
  },
  "max-cells": { value: "N", meaning: "the most cells of a workbook or JSON file (default: 20000000)" },
  "max-archive-files": { value: "N", meaning: "the most files in an archive (default: 1000)" },
  "max-depth": {
    value: "N",
    meaning: "how deep values of JSON, or elements of GPX, may lie in one another (default: 50; of GPX 100)",
  },
};

/** Options of the tasks that read a dig log and a garden log. */
const columns: Readonly<Record<string, TaskOption>> = {
  columns: {
    value: "FILE",
    meaning: "what the columns of a foreign log mean: a mapping file, for the log whose table it names",
  },
  "trial-columns": { value: "FILE", meaning: "another mapping file, where both logs need one" },
};
const ownColumns: Readonly<Record<string, TaskOption>> = {
  columns: { value: "FILE", meaning: "what the columns of a foreign log mean: its mapping file" },
};

/** What a good find is worth to the person: it is nowhere set for them. */
const worth: Readonly<Record<string, TaskOption>> = {
  worth: {
    value: "N",
    meaning:
      "how many holes a good find is worth to you, 2 or more (default: dig rules are shown at several)",
  },
  worths: {
    value: "LIST",
    meaning: "up to three worths at which they are shown, commas between (default: 3,5,10)",
  },
};

/** Every task of `deno task`. This file imports nothing, so that `--help` works before anything is installed. */
export const tasks: Readonly<Record<string, Task>> = {
  season: {
    summary: "Turn a dig log and a test-garden log into a write-up you can open, check and pass on.",
    files: ["DIG_LOG"],
    options: {
      trials: { value: "GARDEN_LOG", meaning: "the test-garden log (a row a trial)" },
      machines: {
        value: "FILE",
        meaning:
          "your machines, scales, tone schemes and settings (JSON; default: machines.json beside the log)",
      },
      out: {
        value: "DIR",
        meaning: "where the write-up goes (default: write-ups/season, for the demo write-ups/demo)",
      },
      seed: { value: "N", meaning: "seed of everything drawn by chance, a whole number (default: 1)" },
      title: { value: "TEXT", meaning: "title of the write-up" },
      author: { value: "NAME", meaning: "who signs it, under a name of your choice (default: nobody)" },
      date: { value: "YYYY-MM-DD", meaning: "the day of publishing (default: none; no clock is read)" },
      "coarse-cells": {
        value: "KM",
        meaning:
          "also publish in which cell of this width (10 or more) each site lies, where a cell holds three sites or more (default: nothing)",
      },
      level: {
        value: "SHARE",
        meaning: 'the share of each outcome that its sets of "could be either" should hold (default: 0.9)',
      },
      ...worth,
      with: { value: "NOTEBOOK", meaning: "a notebook of your own that joins the write-up" },
      "list-only": {
        meaning:
          "tell in full what would be published and what held back, then stop: nothing is run or written",
      },
      fresh: { meaning: "run every notebook, also those that ran before on the same data, code and seed" },
      strict: { meaning: "stop at the first log with a faulty row instead of setting such rows aside" },
      json: { meaning: "print what was made as JSON" },
      ...columns,
      ...reading,
    },
    more:
      "Without any log it uses the demo logs. DIG_LOG is a file with a row a signal (CSV and its kin, XLSX, JSON, NDJSON,\n" +
      "GeoJSON, GPX waypoints, or a zip archive of these), or a folder with signals.csv, outings.csv and finds.csv (or in\n" +
      "another of these formats). Rows that break a rule are set aside in OUT.rejected/, beside the write-up; what the\n" +
      "published numbers of your signals were stands in OUT.rejected/published-ids.csv. Your own files are never changed.\n\n" +
      "Status: 0 done; 1 your log or command line; 2 set-up, disk or a fault of ours; 130 interrupted.",
  },
  "check-log": {
    summary: "Tell all that is found out about a log, and write nothing.",
    files: ["DIG_LOG"],
    options: {
      trials: { value: "GARDEN_LOG", meaning: "the test-garden log (a row a trial)" },
      machines: {
        value: "FILE",
        meaning: "your machines (default: machines.json beside the log or in its archive)",
      },
      json: { meaning: "print the report as JSON" },
      ...columns,
      ...reading,
    },
    more:
      "It prints what became of the rows, everything that was taken for granted and everything odd, each with its first\n" +
      "example, the columns not used, and every rejected row with its line, the rule it breaks and the value.\n\n" +
      "Status: 0 all rows can be used; 1 your log or command line; 2 a fault of ours; 3 rows were rejected.",
  },
  rerun: {
    summary: "Run a write-up again from its own data, and tell cell by cell what came out the same.",
    files: ["WRITE_UP"],
    options: {
      trust: { meaning: "run notebooks that are not this checkout's without being asked" },
      tolerance: {
        value: "SHARE",
        meaning: "how far two numbers may be apart (default: 1e-6 of the larger)",
      },
      json: { meaning: "print the report as JSON" },
    },
    more:
      "It first holds every file against the SHA-256 recorded in provenance.json and the data against their package. Then the\n" +
      "notebooks run in a copy, and cells and files are compared: equal, equal within tolerance, different. A notebook that is\n" +
      "not one of this checkout's is somebody else's program: its new code is shown, and you are asked. Nothing is written.\n\n" +
      "Status: 0 the same; 1 no write-up, or not allowed to run; 2 a fault of ours; 3 something differs.",
  },
  "merge-logs": {
    summary: "Make one dig log of several: seasons, people, exports.",
    files: ["LOG", "LOG..."],
    options: {
      out: { value: "FILE", meaning: "the merged log, a new CSV file with a row a signal (needed)" },
      observers: {
        value: "NAME=WHO,...",
        meaning: "who held the machine, for the rows of a log that do not say",
      },
      columns: { value: "NAME=FILE,...", meaning: "mapping files of foreign logs" },
      "machines-out": { value: "FILE", meaning: "also write the machines of all logs as one new file" },
      "keep-identical": { meaning: "keep rows that are the same to the letter" },
      json: { meaning: "print what was found as JSON" },
      ...reading,
    },
    more:
      "A log is a file or a folder, as in the season task, or NAME=FILE; without a name it is named after its file. Every id\n" +
      "gets that name in front (2024:S1), so keep it the same from merge to merge. A log that was merged before keeps its\n" +
      "ids. Duplicates are shown; only rows that are the same to the letter are left out. Your logs are never changed.",
  },
  "check-notebooks": {
    summary:
      "Check notebooks without running them: types, order of names, outputs left in, missing alternative text.",
    files: ["FOLDER"],
    options: { json: { meaning: "print the findings as JSON" } },
    more: "FOLDER is the project's notebooks/ when not given.\n\n" +
      "Status: 0 nothing found; 1 no such folder; 2 a fault of ours; 3 something was found.",
  },
  "new-notebook": {
    summary: "Begin a notebook of your own from a template that loads your log.",
    files: ["NAME"],
    options: {},
    more:
      "It goes to own-notebooks/, which git leaves alone. `deno task season LOG --with own-notebooks/NAME.ipynb` puts it\n" +
      "into the write-up, after the project's notebooks.",
  },
  watch: {
    summary:
      "Show a notebook in the browser and run it again from the first changed cell when it or lib/ changes.",
    files: ["NOTEBOOK"],
    options: {
      data: {
        value: "DIR",
        meaning: "the data folder it reads (default: write-ups/season/data, else write-ups/demo/data)",
      },
      seed: { value: "N", meaning: "seed, a whole number (default: 1)" },
      port: { value: "N", meaning: "port on this machine (default: a free one)" },
    },
    more:
      "NOTEBOOK is a path, or the name of a notebook in own-notebooks/ or notebooks/. Ctrl-C ends it. Only this machine can\n" +
      "see the page, under an address made for this run.",
  },
  jupyter: {
    summary: "Install the kernel for JupyterLab and VS Code, and say how to start.",
    files: [],
    options: { force: { meaning: "put it in the place of a kernel named deno that is there already" } },
    more: "It writes a folder named deno into your Jupyter data folder and nothing else.",
  },
  "match-columns": {
    summary:
      "Look at a foreign log, propose which heading means which field, and save that as a mapping file.",
    files: ["LOG"],
    options: {
      machines: {
        value: "FILE",
        meaning: "your machines (default: machines.json beside the log or in its archive)",
      },
      out: { value: "FILE", meaning: "where the mapping is saved (default: mapping.json beside the log)" },
      columns: {
        value: "FILE",
        meaning:
          "a mapping file whose lines stand, whole or begun (default: the one of --out, where there is one)",
      },
      table: {
        value: "NAME",
        meaning: "signals, outings, finds or trials (default: found out from the headings)",
      },
      json: { meaning: "print the mapping as JSON" },
      ...reading,
    },
    more:
      "Each heading is told with the field it was taken for, the reason and some cells. Where two answers are as good, a\n" +
      "terminal is asked; a script is told which lines to add to the mapping file, and nothing is written. Edit the file as\n" +
      "you like: headings, units, words, the table of finds, the distances and limits of the rule. Then load the log with\n" +
      "`deno task season LOG --columns mapping.json`. The log itself is never changed.\n\n" +
      "Status: 0 done; 1 questions are open, or your log or command line; 2 a fault of ours.",
  },
  test: {
    summary:
      "Check the whole project: types, examples, tests, a season from end to end, the page in a browser.",
    files: ["FILTER"],
    options: { quick: { meaning: "leave out types, examples, the season and outside programs" } },
    more:
      "Checks against programs outside Deno run where the program is installed; the others are listed as not run.",
  },
  "fuzz-logs": {
    summary:
      "Load a hundred thousand generated files, sound, odd and broken: none may crash, every row must be accounted for.",
    files: [],
    options: {
      count: { value: "N", meaning: "how many files (default: 100000)" },
      seed: { value: "N", meaning: "which files, a whole number (default: 1)" },
    },
    more:
      "It takes some minutes. Status: 0 all went well; 1 a file crashed a loader or lost a row: it is printed.",
  },
  setup: {
    summary: "Install what is missing, from the lock file. Every other task does this by itself.",
    files: [],
    options: {},
  },
  gate: {
    summary: "What to run before a push: format, lint, types, examples, tests.",
    files: [],
    options: { write: { meaning: "mend the format instead of complaining" } },
  },
  bench: {
    summary: "Measure speed as ratios against named peers, in one run.",
    files: ["NAME"],
    options: {},
    more: "NAME is the start of a file of tests/bench (model, write-up, ...), or a word of a bench's name.",
  },
  "virtual-garden": {
    summary: "Make a garden log from physics, with its truth, before a nail is laid.",
    files: [],
    options: {
      plan: {
        value: "FILE",
        meaning: "planned trials: a garden log without readings (default: the demo garden's plan)",
      },
      out: { value: "DIR", meaning: "where the files go (default: write-ups/virtual-garden)" },
      seed: { value: "N", meaning: "seed of all noise, a whole number (default: 1)" },
    },
    more: "A plan names settings A-open, A-quiet or B-open, and objects by name, kind and size.",
  },
  "virtual-season": {
    summary: "Make a dig log from physics, with its truth.",
    files: [],
    options: {
      signals: { value: "N", meaning: "how many signals, 50 to 1000000 (default: 460)" },
      out: { value: "DIR", meaning: "where the files go (default: write-ups/virtual-season)" },
      seed: { value: "N", meaning: "seed of everything, a whole number (default: 1)" },
    },
    more: "Up to 20000 signals the truth holds class probabilities, simulated in 15 seconds or so.",
  },
  "plan-garden": {
    summary: "Plan a test garden, or the next trials of one: a sheet to print and a log to fill in.",
    files: ["GARDEN_LOG"],
    options: {
      targets: {
        value: "LIST",
        meaning: "targets as NAME:DIAMETER_MM, commas between (default: copper disc:24)",
      },
      neighbours: {
        value: "LIST",
        meaning: "neighbours as NAME:KIND:LENGTHxTHICKNESS in mm (default: a small and a large nail)",
      },
      settings: { value: "NAME", meaning: "settings or machine, as in your machines file (default: A-open)" },
      machines: { value: "FILE", meaning: "your machines (default: machines.json beside the log)" },
      gaps: { value: "LIST", meaning: "gaps in cm, commas between (default: 0,1,2,3,4,5,6,8,10,12)" },
      hours: { value: "N", meaning: "hours there are (default: 4)" },
      minutes: { value: "N", meaning: "minutes for one trial (default: 2)" },
      width: { value: "CM", meaning: "how narrow the half gap's interval should become (default: 1.5)" },
      depth: { value: "CM", meaning: "depth of the target; 0 for the surface (default: 0)" },
      spacer: { value: "CM", meaning: "spacer between ground and coil (default: 8)" },
      coil: { value: "CM", meaning: "width of the coil (default: 28)" },
      blind: { meaning: "a helper lays: two lists, one without what lies there" },
      out: { value: "DIR", meaning: "where sheet and log go (default: write-ups/garden-plan)" },
      seed: { value: "N", meaning: "seed of everything drawn by chance, a whole number (default: 1)" },
      ...ownColumns,
      ...reading,
    },
    more:
      "With a GARDEN_LOG it first tells which gaps of which pair would shrink the half gap's interval most, then plans the\n" +
      "objects of that log that were read with the settings named, laid as they were, with blocks and trials numbered on.\n\n" +
      "Status: 0 done; 1 your log or command line; 2 a fault of ours.",
  },
  "prove-garden": {
    summary: "Try the garden's fit on simulated gardens whose truth is known, and store what came out.",
    files: [],
    options: {
      gardens: { value: "N", meaning: "gardens of each of six kinds (default: 1000, about two minutes)" },
      seed: { value: "N", meaning: "seed of everything drawn by chance, a whole number (default: 1)" },
      dry: { meaning: "print the results as JSON and write nothing" },
    },
    more: "Writes datasets/proofs/garden.json, garden.md and garden.svg beside it.",
  },
  "prove-model": {
    summary: "Try the personal model on virtual seasons whose truth is known, and store what came out.",
    files: [],
    options: {
      seasons: { value: "N", meaning: "virtual seasons of each size (default: 250, about half an hour)" },
      signals: { value: "N,N", meaning: "signals of a season, with commas between (default: 600,3000)" },
      seed: { value: "N", meaning: "seed of everything drawn by chance, a whole number (default: 1)" },
      dry: { meaning: "print the results as JSON and write nothing" },
    },
    more: "Writes datasets/proofs/model.json and model.md beside it.",
  },
  "kill-season": {
    summary: "Kill season runs at random moments and store what was left: the write-up, processes, folders.",
    files: [],
    options: {
      kills: { value: "N", meaning: "how many (default: 200, about half an hour)" },
      seed: { value: "N", meaning: "seed of the moments, a whole number (default: 1)" },
      dry: { meaning: "print the results as JSON and write nothing" },
    },
    more:
      "Writes datasets/proofs/kills.json and kills.md. Linux alone: it looks for processes in /proc. Change nothing in the\n" +
      "checkout while it runs.\n\n" +
      "Status: 0 all in order every time; 2 a fault of ours; 3 something was left broken.",
  },
  "field-sheets": {
    summary: "Make sheets to print for the field (A4 and Letter), and empty logs with every column.",
    files: [],
    options: {
      model: {
        value: "FILE",
        meaning: "rules learnt by `deno task fit-model`: a card of them is printed too",
      },
      ...worth,
      "card-by": {
        value: "WHAT",
        meaning: "what the card goes by: reading, step (over the site's own iron) or both (default: both)",
      },
      out: { value: "DIR", meaning: "where they go (default: write-ups/field-sheets)" },
    },
    more: "A log that stands there already and holds something is left as it is.",
  },
  "fit-model": {
    summary: "Learn the rule that the phone page and the card carry, from a dig log.",
    files: ["DIG_LOG"],
    options: {
      machines: {
        value: "FILE",
        meaning: "your machines and settings (default: machines.json beside the log)",
      },
      out: {
        value: "FILE",
        meaning: "where the rules go (default: model.json); their card, in words, lies beside them",
      },
      engine: {
        value: "NAME",
        meaning: "logistic, forest, ... (default: the simplest that is not clearly worse)",
      },
      seed: { value: "N", meaning: "seed of everything drawn by chance, a whole number (default: 1)" },
      strict: { meaning: "stop at a faulty row instead of setting it aside" },
      ...ownColumns,
      ...reading,
    },
    more: "One rule a machine and discrimination setting. The file holds no site, day, find or note.\n\n" +
      "Status: 0 done; 1 your log or command line; 2 ours; 3 the log is too small to learn from.",
  },
  "phone-page": {
    summary: "Make the page that records signals on a phone, without a network: one HTML file.",
    files: [],
    options: {
      model: {
        value: "FILE",
        meaning: "rules learnt by `deno task fit-model`; without them the page only records",
      },
      machines: {
        value: "FILE",
        meaning: "your machines and settings (default: those the rules were learnt with)",
      },
      worth: {
        value: "N",
        meaning:
          "how many holes a good find is worth to you, 2 or more (default: verdicts at several, until you say it on the phone)",
      },
      out: { value: "FILE", meaning: "where the page goes (default: write-ups/phone-page.html)" },
    },
    more:
      "The page keeps every keystroke on the phone, saves CSV and JSON that the kit loads as they stand, and asks nothing of any network.",
  },
  "long-outing": {
    summary: "Walk an outing of 60 signals on the phone page in Chromium, killing the browser 20 times.",
    files: [],
    options: {},
  },
  "take-home": {
    summary: "Join a phone export to the season log, and say in five lines what the day taught.",
    files: ["EXPORT"],
    options: {
      log: {
        value: "FILE",
        meaning: "the season log (a flat file with a row a signal); it is never changed",
      },
      machines: {
        value: "FILE",
        meaning: "your machines and settings (default: machines.json beside the log)",
      },
      out: { value: "FILE", meaning: "the joined log, a new file (default: LOG-joined.csv)" },
      columns: {
        value: "FILE",
        meaning:
          "what the columns of a foreign season log mean: its mapping file; the joined log has the kit's own",
      },
    },
  },
  "demo-logs": {
    summary: "Make the invented demo logs again from their seed.",
    files: [],
    options: { check: { meaning: "only tell whether the files in datasets/ are what the generator makes" } },
  },
  "data-dictionary": {
    summary: "Write the data dictionary again from the schema.",
    files: [],
    options: { check: { meaning: "only tell whether the file is up to date" } },
  },
};

/** The help of one task, as printed by `deno task NAME --help`. */
export function helpOf(name: string): string {
  const task = tasks[name]!;
  const names = Object.entries(task.options).map(([key, option]) =>
    `--${key}${option.value ? ` ${option.value}` : ""}`
  );
  const usage = [
    "deno task " + name,
    ...task.files.map((file) => `[${file}]`),
    ...names.map((text) => `[${text}]`),
  ];
  const wide = Math.max(6, ...names.map((text) => text.length)) + 2;
  const lines = Object.values(task.options).map((option, i) =>
    `  ${names[i]!.padEnd(wide)}${option.meaning}`
  );
  lines.push(`  ${"--help".padEnd(wide)}this text`);
  return `${task.summary}\n\n  ${usage.join(" ")}\n\n${lines.join("\n")}${
    task.more ? `\n\n${task.more}` : ""
  }\n`;
}
