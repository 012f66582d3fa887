import { useEffect } from "preact/hooks";

/** useCode hands on the code that stands behind the # of the address, now and when another link is opened in the same tab. */
export function useCode(take: (code: string) => void): void {
  useEffect(() => {
    const look = () => {
      const code = codeIn(location.hash);
      if (code !== "") {
        take(code);
      }
    };
    look();
    addEventListener("hashchange", look);
    return () => removeEventListener("hashchange", look);
  }, []);
}

/** codeIn reads a code, three groups of four, from a fragment; what can't be one, such as the skip link's, is none. */
export function codeIn(fragment: string): string {
  return /^#([0-9A-Za-z]{4}(?:-?[0-9A-Za-z]{4}){2})$/.exec(fragment)?.[1] ?? "";
}
