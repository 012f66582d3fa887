import { render } from "preact";
import { act } from "preact/test-utils";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { offline, troubleFrom } from "../api/problem";
import { FormSummary } from "../parts/Field/FormSummary";
import { TextField } from "../parts/Field/TextField";
import { readDraft } from "./drafts";
import { useForm, type Form, type Outcome, type Try } from "./form";

type Send = (texts: { title: string }, t: Try) => Promise<Outcome>;

/** setup draws a form of one field and gives hands to it. */
function setup(send: Send, base: string | null = null) {
  const root = document.createElement("div");
  document.body.replaceChildren(root);
  let form: Form<"title"> | undefined;
  function Page() {
    form = useForm({ id: "pond", account: 3, start: { title: "" }, base, send });
    return (
      <form onSubmit={form.submit}>
        <FormSummary form={form} />
        <TextField name="title" label="Title" text={form.texts.title} onText={(t) => form?.set("title", t)} fault={form.fault("title")} />
      </form>
    );
  }
  void act(() => render(<Page />, root));
  const input = () => root.querySelector("input") ?? expect.fail("no input");
  return {
    root,
    input,
    form: () => form ?? expect.fail("not drawn"),
    type: (text: string) =>
      act(() => {
        input().value = text;
        input().dispatchEvent(new Event("input", { bubbles: true }));
      }),
    submit: () => act(async () => form?.submit(new Event("submit"))),
    reload: () => {
      void act(() => render(null, root));
      return setup(send, base);
    },
  };
}

const done: Send = () => Promise.resolve({ done: true });
beforeEach(() => localStorage.clear());

describe("a draft", () => {
  it("survives a reload, exactly as typed, with its key and version", async () => {
    const send = vi.fn<Send>(() => Promise.resolve({ trouble: offline }));
    const t = setup(send, '"4"');
    await t.type("2,6 m ");
    await t.submit();
    const again = t.reload();
    expect(again.input().value).toBe("2,6 m ");
    await again.submit();
    const [first, second] = send.mock.calls.map(([, how]) => how);
    expect(second?.key).toBe(first?.key);
    expect(second?.base).toBe('"4"');
  });

  it("is forgotten once the server has it", async () => {
    const t = setup(done);
    await t.type("Pond");
    expect(readDraft(3, "pond")?.values).toEqual({ title: "Pond" });
    await t.submit();
    expect(readDraft(3, "pond")).toBeNull();
  });

  it("belongs to the account that typed it", async () => {
    const t = setup(done);
    await t.type("Pond");
    expect(readDraft(4, "pond")).toBeNull();
  });

  it("that can't be read is no draft", () => {
    for (const text of ["{", "7", '{"values":{"title":3},"key":"k","base":null,"at":""}']) {
      localStorage.setItem("leat:draft:3:pond", text);
      expect(readDraft(3, "pond")).toBeNull();
    }
  });

  it("is thrown away when the person says so", async () => {
    const t = setup(done);
    await t.type("Pond");
    const again = t.reload();
    expect(again.form().draftFrom).not.toBeNull();
    await act(() => again.form().startOver());
    expect(again.input().value).toBe("");
    expect(readDraft(3, "pond")).toBeNull();
  });
});

describe("a thing that someone else saved meanwhile", () => {
  it("fills what was not touched, and still knows that after a reload", async () => {
    const t = setup(done, '"1"');
    await t.type("Pond");
    const again = t.reload();
    await act(() => void again.form().meet({ title: "Mill" }, '"2"'));
    expect(again.input().value).toBe("Pond");
    expect(again.form().base).toBe('"2"');
    expect(readDraft(3, "pond")).toMatchObject({ base: '"2"', from: { title: "Mill" }, values: { title: "Pond" } });
    await again.type("Mill");
    await act(() => void again.form().meet({ title: "Weir" }, '"3"'));
    expect(again.input().value).toBe("Weir");
  });

  it("takes nothing from a draft that does not say what it began with", async () => {
    localStorage.setItem("leat:draft:3:pond", JSON.stringify({ values: { title: "" }, base: '"1"', key: "k", at: "" }));
    const t = setup(done, '"2"');
    let met: unknown;
    await act(() => void (met = t.form().meet({ title: "Mill" }, '"3"')));
    expect(met).toMatchObject({ both: ["title"] });
    expect(t.input().value).toBe("");
  });
});

describe("a failed try", () => {
  const fault = { pointer: "/title", code: "too_long", message: "A title has at most 120 characters." };
  const refuse: Send = () => Promise.resolve({ trouble: troubleFrom(422, { title: "Something can't be used", fields: [fault] }) });

  it("says the same words in the summary and at the field, tied to it", async () => {
    const t = setup(refuse);
    await t.type("x".repeat(121));
    await t.submit();
    const link = t.root.querySelector<HTMLAnchorElement>(".error-summary a");
    expect(link?.textContent).toBe(fault.message);
    expect(t.input().getAttribute("aria-invalid")).toBe("true");
    const about = t.input().getAttribute("aria-describedby") ?? "";
    expect(about.split(" ").map((id) => document.getElementById(id)?.textContent)).toContain(`Fault: ${fault.message}`);
  });

  it("takes the focus to the summary, at every try, and from there to the field", async () => {
    const t = setup(refuse);
    await t.submit();
    expect(document.activeElement?.className).toBe("error-summary");
    t.input().focus();
    await t.submit();
    expect(document.activeElement?.className).toBe("error-summary");
    Element.prototype.scrollIntoView = () => undefined;
    t.root.querySelector<HTMLAnchorElement>(".error-summary a")?.click();
    expect(document.activeElement).toBe(t.input());
  });

  it("keeps what was typed", async () => {
    const t = setup(refuse);
    await t.type("too long");
    await t.submit();
    expect(t.input().value).toBe("too long");
  });
});

describe("sending", () => {
  it("happens once for a double press", async () => {
    let finish: (o: Outcome) => void = () => undefined;
    const send = vi.fn<Send>(() => new Promise((resolve) => (finish = resolve)));
    const t = setup(send);
    void t.form().submit(new Event("submit"));
    void t.form().submit(new Event("submit"));
    await act(() => finish({ done: true }));
    expect(send).toHaveBeenCalledTimes(1);
  });

  it("sends what stands in the field, also right after typing", async () => {
    const send = vi.fn<Send>(done);
    const t = setup(send);
    await t.type("Pond air");
    await t.submit();
    expect(send.mock.calls[0]?.[0]).toEqual({ title: "Pond air" });
  });
});
