// What the engine refuses, by name. Messages are for people who write code: pages choose words.

/** No place and no cause is left that fits all readings. */
export class Contradiction extends Error {
  name = "Contradiction";
}

/** The line cannot be searched; the message names the leg, box or point. */
export class UnusableLine extends Error {
  name = "UnusableLine";
}

/** A reading or a stand that this engine does not know, or that lacks what it needs. */
export class UnusablePlain extends Error {
  name = "UnusablePlain";
}
