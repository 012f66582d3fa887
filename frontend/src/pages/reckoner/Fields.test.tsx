import { render } from "preact";
import { act } from "preact/test-utils";
import { afterEach, beforeEach, expect, test } from "vitest";
import { unitsIn } from "../../system";
import { Fields } from "./Fields";
import type { Texts } from "./form";
import type { CalcField } from "./measure";

let page: HTMLElement;

beforeEach(() => {
  page = document.createElement("main");
  document.body.append(page);
});
afterEach(() => {
  render(null, page);
  page.remove();
});

const causes: CalcField[] = [
  {
    at: "/components",
    kind: "records",
    required: true,
    about: "what may be wrong",
    item: [
      { at: "/kind", kind: "choice", required: true, choices: ["standard", "readings"], about: "what is known about it" },
      { at: "/sens", kind: "number", default: "1", about: "how much the result changes with it" },
      { at: "/u", kind: "number", gaps: true, about: "standard uncertainty", when: { at: "/kind", is: ["standard"] } },
      { at: "/readings", kind: "numbers", gaps: true, about: "repeated readings", when: { at: "/kind", is: ["readings"] } },
    ],
  },
  { at: "/sens", kind: "rows", required: true, about: "sensitivities" },
];

function asked(texts: Texts): string {
  const set = () => undefined;
  const fault = (at: string) => (at === "/sens" ? "Row 2 is short." : undefined);
  void act(() => render(<Fields of="" all={causes} texts={texts} set={set} fault={fault} units={unitsIn("metric")} />, page));
  return page.textContent;
}

test("each cause asks for what its kind has", () => {
  const text = asked({ "/components": "2", "/components/0/kind": "standard", "/components/1/kind": "readings" });
  expect(page.querySelectorAll("#in-components-0-u, #in-components-1-readings")).toHaveLength(2);
  expect(page.querySelector("#in-components-0-readings, #in-components-1-u")).toBeNull();
  expect(page.querySelector("details #in-components-0-sens")).not.toBeNull();
  expect(page.querySelector("details #in-components-0-u")).toBeNull();
  expect(text).toContain("A dash stands for one that is missing.");
});

test("rows have room for several lines, and show their fault", () => {
  expect(asked({ "/sens": "1 0\n0 1" })).toContain("Row 2 is short.");
  expect(page.querySelector<HTMLTextAreaElement>("textarea#in-sens")?.value).toBe("1 0\n0 1");
});
