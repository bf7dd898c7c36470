/** Raised when clients of before no longer understand the hub, or the other way round. */
export const PROTOCOL = 1;
