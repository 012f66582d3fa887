import { api, ask, type Answer, type Schema } from "../../api/client";

export type Evidence = Schema<"GroupEvidence">;
export type EvidenceRun = Schema<"EvidenceRun">;
export type Quantity = Schema<"EvidenceQuantity">;
export type Group = Schema<"EvidenceGroup">;
export type Point = Schema<"EvidencePoint">;

export const fetchEvidence = (): Promise<Answer<Evidence>> => ask(api.GET("/api/v1/evidence"));
