/** Machine and discrimination of a result in words, "none" left out. */
export function armWords(of: Readonly<Record<string, string>>): string {
  const { machine = "", discrimination = "none" } = of;
  return discrimination === "none"
    ? machine
    : `${machine}, discrimination ${discrimination.replaceAll("-", " ")}`;
}
