import { describe, expect, it } from "vitest";
import { aboutOf } from "./words";

describe("what a link is about", () => {
  it("is named, and leads to its page", () => {
    const lead = (kind: string, project: number | null, about: Parameters<typeof aboutOf>[0]["about"]) => aboutOf({ kind, project, about });
    expect(lead("check_outcome", 3, { title: "Trompe", design: 4, letter: "B" })).toEqual({ text: "Trompe, revision B", href: "/projects/3/designs/4/check/B" });
    expect(lead("test_started", 3, { title: "Rig", build: 5, test: 2 })).toEqual({ text: "Rig, test sheet 2", href: "/projects/3/builds/5/tests/2" });
    expect(lead("test_signed", 3, { title: "Rig", build: 5, test: 2, item: "P07" })).toEqual({ text: "Rig, test sheet 2, P07", href: "/projects/3/builds/5/tests/2" });
    expect(lead("certificate", 3, { title: "Rig", build: 5 })).toEqual({ text: "Rig", href: "/projects/3/builds/5/certificate" });
    expect(lead("run_confirmed", 3, { title: "Rig", build: 5, run: 1 })).toEqual({ text: "Rig, run 1", href: "/projects/3/builds/5/runs/1" });
    expect(lead("incident_rest", 3, { title: "Rig", build: 5 })).toEqual({ text: "Rig", href: "/projects/3/builds/5/log" });
    expect(lead("file_hide", 3, { title: "face.png" })).toEqual({ text: "face.png", href: "/projects/3/log" });
    expect(lead("project_imported", 3, { title: "Mill race" })).toEqual({ text: "Mill race", href: "/projects/3" });
    expect(lead("set_adopted", null, { title: "", number: 2 })).toEqual({ text: "proposal 2", href: "/evidence/sets/2" });
    expect(lead("template_signed", null, { title: "", number: 2 })).toEqual({ text: "version 2", href: "/group/procedure/2" });
    expect(lead("act", null, { title: "Wanda Ekholm" })).toEqual({ text: "Wanda Ekholm", href: "/group" });
    expect(lead("act", null, { title: "" })).toBeNull();
  });
});
