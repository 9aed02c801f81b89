// The probes: thermistors against the converter's reference (RP2040 data sheet, 4.9 "ADC"; wiring: firmware/README.md).
//
// By the beta equation, in floats: a way of its own from temperature to counts. Not modelled: noise, errors of the converter.

const PULL_UP_OHM = 4700;
const FULL_SCALE = 4095;
const OHM_AT_25 = 100_000;
const BETA = 3950;

/** What a lead that is off counts. */
export const OPEN = FULL_SCALE;

/** What two leads that touch count. */
export const SHORTED = 0;

/** What a bead of so many degrees Celsius counts. */
export function counts(celsius) {
  const ohm = OHM_AT_25 * Math.exp(BETA * (1 / (celsius + 273.15) - 1 / 298.15));
  return Math.round((FULL_SCALE * ohm) / (ohm + PULL_UP_OHM));
}
