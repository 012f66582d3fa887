import { api, ask } from "../../api/client";

export const fetchInstruments = () => ask(api.GET("/api/v1/instruments"));

export const fetchInstrument = (instrument: number) => ask(api.GET("/api/v1/instruments/{instrument}", { params: { path: { instrument } } }));
