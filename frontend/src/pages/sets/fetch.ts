import { api, ask, askIfChanged, type Answer, type Schema } from "../../api/client";

export type SetList = Schema<"SetProposalList">;
export type SetHead = Schema<"SetProposalHead">;
export type Proposal = Schema<"SetProposal">;
export type Lesson = Schema<"SetLesson">;

export const setsPath = "/evidence/sets";
export const setPath = (number: number) => `${setsPath}/${number}`;

/** fetchSets asks for a page of the proposals, newest first. */
export const fetchSets = (before?: number): Promise<Answer<SetList>> => ask(api.GET("/api/v1/coefficient-sets", before === undefined ? {} : { params: { query: { before } } }));

/** fetchSetIfChanged asks for a proposal in full; "same" where it stands as it was read under that stamp. */
export function fetchSetIfChanged(proposal: number, stamp: string | null): Promise<Answer<Proposal> | "same"> {
  const header = stamp === null ? {} : { header: { "If-None-Match": stamp } };
  return askIfChanged(api.GET("/api/v1/coefficient-sets/{proposal}", { params: { path: { proposal }, ...header } }));
}
