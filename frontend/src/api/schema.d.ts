// Written by `npm run generate` from ../api/openapi.yaml.
export type paths = Record<never, never>;
export interface components {
  schemas: Record<never, never>;
}
