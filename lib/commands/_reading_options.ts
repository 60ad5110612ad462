import { ENCODINGS, FORMATS, type ReadLogFileOptions, type ReadTableOptions } from "../log/mod.ts";
import { type CommandLine, CommandLineFault } from "./_command_line.ts";

/** What the options of a command line say about how a log's files are read. */
export type ReadingOptions = ReadTableOptions & ReadLogFileOptions;

const DELIMITERS = new Map(
  [
    ["comma", ","],
    [",", ","],
    ["semicolon", ";"],
    [";", ";"],
    ["tab", "\t"],
    ["bar", "|"],
    ["|", "|"],
  ] as const,
);
const QUOTES = new Map([["double", '"'], ["single", "'"], ["none", "none"]] as const);
const UNITS: Readonly<Record<string, number>> = { "": 1, K: 2 ** 10, M: 2 ** 20, G: 2 ** 30 };

/** Reads the options of reading. Throws CommandLineFault for a value that is not one of those named. */
export function readingOptionsOf(line: CommandLine): ReadingOptions {
  const options: { -readonly [Key in keyof ReadingOptions]: ReadingOptions[Key] } = {};
  const choose = <T>(name: string, choices: ReadonlyMap<string, T>): T | undefined => {
    const text = line.values[name];
    if (text === undefined) return undefined;
    const found = choices.get(text.toLowerCase());
    if (found !== undefined) return found;
    const words = [...choices.keys()].filter((key) => /\w/.test(key)).join(", ");
    throw new CommandLineFault(`Cannot use --${name}: it must be one of ${words}, got "${text}"`);
  };
  const same = <T extends string>(words: readonly T[]): ReadonlyMap<string, T> =>
    new Map(words.map((word) => [word, word]));
  const count = (name: string, most = Number.MAX_SAFE_INTEGER): number | undefined => {
    const text = line.values[name];
    if (text === undefined) return undefined;
    const match = /^(\d{1,15})([KMG]?)$/i.exec(text);
    const value = match === null ? NaN : Number(match[1]) * UNITS[match[2]!.toUpperCase()]!;
    if (Number.isSafeInteger(value) && value > 0 && value <= most) return value;
    const upTo = most < Number.MAX_SAFE_INTEGER
      ? ` and up to ${most}`
      : ", with K, M or G behind it if need be";
    throw new CommandLineFault(
      `Cannot use --${name}: it must be a whole number above 0${upTo}, got "${text}"`,
    );
  };
  const put = <Key extends keyof ReadingOptions>(key: Key, value: ReadingOptions[Key] | undefined): void => {
    if (value !== undefined) options[key] = value;
  };
  put("format", choose("format", same(FORMATS)));
  put("encoding", choose("encoding", same(ENCODINGS)));
  put("delimiter", choose("delimiter", DELIMITERS));
  put("quote", choose("quote", QUOTES));
  put("decimal", choose("decimal", same(["point", "comma"])));
  put("sheet", line.values["sheet"]);
  put("maxFileBytes", count("max-file-bytes"));
  put("maxRowBytes", count("max-row-bytes"));
  put("maxUnpackedBytes", count("max-unpacked-bytes"));
  put("maxCells", count("max-cells"));
  // The directory of an archive counts to 65534, and values that lie deeper than this end a program before any rule does.
  put("maxArchiveFiles", count("max-archive-files", 65_534));
  put("maxDepth", count("max-depth", 1000));
  if (line.switches.has("follow-links")) options.followLinks = true;
  return options;
}
