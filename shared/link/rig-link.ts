/** One rig's part of its link, `<rigId>.<token>`: how phones and agents read it alike. */
export const RIG_LINK_PART = /^([a-z0-9][a-z0-9-]{0,39})\.([A-Za-z0-9_-]{8,200})$/;
