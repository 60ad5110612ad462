import { describe, expect, test } from "vitest";
import { mappableFields } from "../../lib/log/mapping.ts";
import { bareWord, findMeant, foldWord, WORD_SYNONYMS, wordMeant } from "../../lib/log/mapping_words.ts";
import { WORDS } from "../../lib/log/words.ts";

test("foldWord() and bareWord() make one spelling of a word", () => {
  expect(foldWord("  Rusty\u00a0 Nail. ")).toBe("rusty nail");
  expect(foldWord(".")).toBe(".");
  expect(foldWord("e\u0301tain")).toBe("\u00e9tain");
  expect(bareWord("Große_Münze (Nr.)")).toBe("grosse munze nr");
  expect(bareWord("L\u2019écart")).toBe("l ecart");
});

describe("wordMeant()", () => {
  test("knows plain words of several languages", () => {
    for (const word of ["Ja", "oui", "S\u00ed", "y", "1", "x", "TRUE"]) {
      expect(wordMeant("dug", word, WORDS.dug)).toBe("yes");
    }
    expect(wordMeant("dug", "nein", WORDS.dug)).toBe("no");
    expect(wordMeant("metal", "Buntmetall", WORDS.metal)).toBe("non-ferrous");
    expect(wordMeant("metal", "non ferrous", WORDS.metal)).toBe("non-ferrous");
    expect(wordMeant("after_turn", "Not tried", WORDS.after_turn)).toBe("not-tried");
  });
  test("says nothing where it does not know, or two words would do", () => {
    expect(wordMeant("dug", "maybe", WORDS.dug)).toBe(null);
    expect(wordMeant("dug", "-", WORDS.dug)).toBe(null);
    expect(wordMeant("dug", "constructor", WORDS.dug)).toBe(null);
    expect(wordMeant("no_such_field", "yes", [])).toBe(null);
  });
  test("never takes 'no' for 'not looked'", () => {
    expect(wordMeant("iron_near", "no", WORDS.iron_near)).toBe("none");
    expect(wordMeant("iron_near", "not looked", WORDS.iron_near)).toBe("not-looked");
    expect(wordMeant("iron_evidence", "?", WORDS.iron_evidence)).toBe(null);
  });
  test("gives only words that the field has, and has no synonym with accents or capitals", () => {
    const words = new Map(
      ["signals", "trials"].flatMap((table) =>
        mappableFields(table as "signals" | "trials").map((field) => [field.name, field.words] as const)
      ),
    );
    for (const [field, lists] of Object.entries(WORD_SYNONYMS)) {
      for (const [word, list] of Object.entries(lists)) {
        expect(words.get(field), `${field}: ${word}`).toContain(word);
        for (const each of list.split("|")) {
          if (!/^[?+\u2713\u2714]+$/.test(each)) expect(bareWord(each), `${field}: ${each}`).toBe(each);
        }
      }
    }
  });
});

describe("findMeant()", () => {
  test("goes by plain words of metals and things", () => {
    expect(findMeant("Hand-forged nail")).toEqual({ word: "Hand-forged nail", metal: "ferrous", keep: "no" });
    expect(findMeant("copper disc")).toEqual({ word: "copper disc", metal: "non-ferrous", keep: "yes" });
    expect(findMeant("Messingknopf")).toEqual({ word: "Messingknopf", metal: "non-ferrous", keep: "yes" });
    expect(findMeant("hoefijzer")).toEqual({ word: "hoefijzer", metal: "ferrous", keep: "no" });
    expect(findMeant("folded foil")).toEqual({ word: "folded foil", metal: "non-ferrous", keep: "no" });
    expect(findMeant("Nothing")).toEqual({ word: "Nothing", result: "nothing-found" });
  });
  test("says nothing of metal where the word does not tell it", () => {
    expect(findMeant("buckle")).toEqual({ word: "buckle", keep: "yes" });
    expect(findMeant("thing")).toEqual({ word: "thing" });
  });
  test("says nothing where words pull both ways, or there is a doubt", () => {
    expect(findMeant("iron buckle with brass pin").metal).toBe(undefined);
    for (const word of ["nail?", "not iron", "no nail", "kein Eisen", "sans fer"]) {
      expect(findMeant(word)).toEqual({ word });
    }
  });
});
