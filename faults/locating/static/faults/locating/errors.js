// What the engine refuses, by name. Messages are for people who write code: pages choose words.

/** No place and no cause is left that fits all readings. */
export class Contradiction extends Error {
  name = "Contradiction";
}

/** The line cannot be searched; the message names the leg, box or point. */
export class UnusableLine extends Error {
  name = "UnusableLine";
}

/** The numbers contradict each other or leave their range. */
export class UnusableAssumptions extends Error {
  name = "UnusableAssumptions";
}

/** A reading that cannot be. */
export class UnusableReading extends Error {
  name = "UnusableReading";
}

/** A plain value that cannot be read; the message says what was expected. */
export class UnusablePlain extends Error {
  name = "UnusablePlain";
}
