/** The answer of GET /api/reach. */
export interface NetworkAnswer {
  origins: string[];
  secureOrigins: string[];
  tier: "own certificate" | "local authority" | "none";
  authorityFingerprint: string | null;
  names: string[];
}
