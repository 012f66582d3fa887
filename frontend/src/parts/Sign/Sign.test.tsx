import { render } from "preact";
import { act } from "preact/test-utils";
import { describe, expect, it, vi } from "vitest";
import { troubleFrom } from "../../api/problem";
import { Sign, type SignProps } from "./Sign";

type SignIt = SignProps["sign"];
const petra = { id: 3, name: "Petra Lindahl" };
const bram = { id: 2, name: "Bram Oduya" };
const fine: SignIt = () => Promise.resolve({ ok: true, data: null, etag: null, status: 201 });

function setup(props: Partial<SignProps> = {}) {
  const root = document.createElement("div");
  document.body.replaceChildren(root);
  const sign = vi.fn<SignIt>(props.sign ?? fine);
  const signed = vi.fn();
  void act(() => render(<Sign name="p12" says="P12, as second" me={petra} word="Sign" {...props} sign={sign} signed={signed} />, root));
  const input = () => root.querySelector<HTMLInputElement>("input:not([type=radio])") ?? expect.fail("no input");
  return {
    root,
    sign,
    signed,
    input,
    choose: (who: string) => act(() => [...root.querySelectorAll("label")].find((l) => l.textContent === who)?.querySelector("input")?.click()),
    press: (word: string) => act(() => [...root.querySelectorAll("button")].find((b) => b.textContent === word)?.click()),
    type: (text: string) =>
      act(() => {
        input().value = text;
        input().dispatchEvent(new Event("input", { bubbles: true }));
      }),
    submit: () =>
      act(async () => {
        root.querySelector("form")?.dispatchEvent(new Event("submit", { cancelable: true }));
        await new Promise((done) => setTimeout(done));
      }),
  };
}

describe("a signature", () => {
  it("goes out with the code of whoever holds the device, and the code is gone afterwards", async () => {
    const p = setup();
    expect(p.input().inputMode).toBe("numeric");
    await p.type("408152");
    await p.submit();
    expect(p.sign).toHaveBeenCalledExactlyOnceWith(petra, { code: "408152", password: "" });
    expect(p.signed).toHaveBeenCalledOnce();
    expect(p.input().value).toBe("");
  });

  it("is given by a colleague on this device, with their own code", async () => {
    const p = setup({ others: [bram] });
    await p.choose("Bram Oduya, beside me");
    expect(p.root.textContent).toContain("Signing code of Bram Oduya");
    await p.type("915360");
    await p.submit();
    expect(p.sign).toHaveBeenCalledExactlyOnceWith(bram, { code: "915360", password: "" });
  });

  it("is not offered to whoever holds the device and may not give it", async () => {
    const p = setup({ others: [bram], notMe: true });
    expect(p.root.textContent).not.toContain("Petra Lindahl, me");
    await p.type("915360");
    await p.submit();
    expect(p.sign).toHaveBeenCalledExactlyOnceWith(bram, { code: "915360", password: "" });
  });

  it("asks for the password of who has set no code", async () => {
    const p = setup({ me: { ...petra, has_code: false } });
    expect(p.root.textContent).toContain("Password of Petra Lindahl");
    await p.type("three grey wagtails");
    await p.submit();
    expect(p.sign).toHaveBeenCalledExactlyOnceWith({ ...petra, has_code: false }, { code: "", password: "three grey wagtails" });
  });

  it("takes the password instead, and never sends a code typed before", async () => {
    const p = setup();
    await p.type("408152");
    await p.press("With the password instead");
    expect(p.input().value).toBe("");
    await p.type("three grey wagtails");
    await p.submit();
    expect(p.sign).toHaveBeenCalledExactlyOnceWith(petra, { code: "", password: "three grey wagtails" });
  });

  it("offers no code where the password is asked for", () => {
    const p = setup({ passwordOnly: true });
    expect(p.root.textContent).not.toContain("code");
    expect(p.root.querySelectorAll("button").length).toBe(1);
  });

  it("says at the field why it was refused, and is not counted as signed", async () => {
    const wrong = troubleFrom(422, { title: "Not signed.", fields: [{ pointer: "/sign/code", code: "wrong", message: "This is not the signing code of Petra Lindahl." }] });
    const p = setup({ sign: () => Promise.resolve({ ok: false, trouble: wrong }) });
    await p.type("000001");
    await p.submit();
    expect(p.root.querySelector("#p12-secret-fault")?.textContent).toContain("This is not the signing code of Petra Lindahl.");
    expect(p.signed).not.toHaveBeenCalled();
    expect(p.input().value).toBe("");
  });

  it("asks for the secret when none was typed, and asks nobody", async () => {
    const p = setup();
    await p.submit();
    expect(p.sign).not.toHaveBeenCalled();
    expect(p.root.textContent).toContain("Type the signing code of Petra Lindahl.");
  });
});
