import { describe, expect, it } from "vitest";
import { exampleOf } from "./example";

describe("the request of a logger", () => {
  const [head = "", body = ""] = exampleOf("leat.example", "secret", new Date("2026-05-01T10:00:00.7Z")).split("\n\n");

  it("says how long its body is in bytes, as RFC 9112, 6.2, wants it", () => {
    // "°" is two bytes in UTF-8 (RFC 3629), one letter here.
    expect(head).toContain(`Content-Length: ${body.length + 1}`);
  });

  it("shows the token where RFC 6750, 2.1, has it", () => {
    expect(head.split("\n")).toContain("Authorization: Bearer secret");
  });

  it("has a row with a value for each channel, and times with their zone", () => {
    const sent = JSON.parse(body) as { channels: unknown[]; rows: unknown[][] };
    expect(sent.rows.map((r) => r.length)).toEqual([sent.channels.length + 1, sent.channels.length + 1]);
    expect(sent.rows.map((r) => r[0])).toEqual(["2026-05-01T10:00:00Z", "2026-05-01T10:00:10Z"]);
  });
});
