// The shapes that the modules hand each other, for editors: nothing runs here and no page loads it.
// As it exports nothing, its names hold in all scripts of this folder.

/**
 * @typedef {object} Leg One leg of the wire's way; the fields of the plain form.
 * @property {string} name
 * @property {number} length_ft
 * @property {number} years how long faults here would have been written down
 * @property {number} faults
 * @property {number} hazard_factor what cover and conduit do to the hazard
 * @property {boolean} is_guessed its length
 * @property {number} tone_factor how much slower a tone is walked here than in turf
 */

/**
 * @typedef {object} Box
 * @property {string} name
 * @property {string} joint
 * @property {number} open_min minutes to open it and test
 * @property {number} [hazard_factor] how much likelier than elsewhere its splice is to blame
 */

/**
 * @typedef {object} Line
 * @property {Leg[]} legs 0..n in order from the controller
 * @property {Box[]} boxes 1..n, the first at index 0
 * @property {number} lengthFt feet from controller to valve
 * @property {Float64Array} pointFt feet from the controller of each point, n + 2
 * @property {Int32Array} cellLeg the leg of each cell
 * @property {Float64Array} cellFt feet from the controller to the middle of each cell
 * @property {Float64Array} cellLengthFt
 * @property {Int32Array} firstCell index of the first cell of each leg, and the number of cells
 * @property {Float64Array} guessedAtPoint feet of guessed legs between the controller and a point
 * @property {Float64Array} guessedAtCell the same for each cell
 */

/**
 * @typedef {object} Belief A probability for each hypothesis; all of them sum to 1.
 * @property {Line} line
 * @property {Float64Array[]} legs three arrays by cell: hot, common, bundle
 * @property {Float64Array} splice by point
 * @property {Record<string, number>} outside by cause
 * @property {{low: number, high: number, conductor: number | null}[]} walked walks in vain so far
 * @property {{point: number, byClamp: boolean, wasThere: boolean}[]} listened what was heard
 */

/**
 * @typedef {object} Likelihood Chance of a reading under each hypothesis.
 * @property {Float64Array[]} legs by conductor and cell; the same array may stand for several
 * @property {Float64Array} splice by point
 * @property {Record<string, number>} outside by cause
 */

/**
 * @typedef {object} Masses A belief on a terrain; the outer points hold 0.
 * @property {Float64Array} gap
 * @property {Float64Array} point
 * @property {Float64Array} left the gaps' masses x dislike of the tone from the gap's left end
 * @property {Float64Array} right the same from its right end
 */

/**
 * @typedef {object} Stand Where the technician stands, in points 0..n + 1 of the line.
 * @property {number} at
 * @property {number | null} openBox
 * @property {boolean} [isCut] the splice of the open box was cut out
 * @property {number | null} toneFrom where the tone is fed
 * @property {string} toneOn "hot" or "common"
 */

/**
 * @typedef {object} Outer Masses of the points 0..n + 1 and of the causes at both ends.
 * @property {number} behind
 * @property {Float64Array} points
 * @property {number} inBox of the valve
 * @property {number} otherWire
 */

/**
 * @typedef {object} Option One action, its own minutes from here, and the minutes to the end.
 * @property {object} action the plain form; points are 0..n + 1 of the line or by id
 * @property {number} minutes to the end if it goes first; weighs long searches more
 * @property {number} own_min
 * @property {number} before chance of the side of the controller
 * @property {number} beyond chance of the side of the valve
 * @property {number} finds chance that the action itself finds the fault
 */

/**
 * @typedef {object} BoxWay How a box is tested: minutes without the way, chance of the wrong side.
 * @property {string} kind
 * @property {number} minutes
 * @property {number} error
 * @property {number} lasting minutes of it for a cut and its lasting splice
 * @property {number} setup minutes of it for a tone that is not fed yet
 */

/**
 * @typedef {object} Ids
 * @property {(number | string)[]} points of the points 0..n + 1
 * @property {(number | string)[]} legs of the legs 0..n
 */

/**
 * @typedef {object} Search A search that was checked and counted.
 * @property {Line} line
 * @property {Ids} ids
 * @property {{works: boolean, shares: number[], common: number[]}[]} neighbours
 * @property {Record<string, number>} assumed as symptom and soil leave them
 * @property {object} tools those that tell something of the symptom
 * @property {boolean} soilIsDry
 * @property {object[]} readings those that stand
 */
