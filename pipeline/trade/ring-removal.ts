/** Rings of titanium and tungsten carbide defeat standard ring cutters; loops of string and powered tools take them off. */
export const EMERGENCY_SOURCE =
  'Gardiner and others 2013, American Journal of Emergency Medicine 31, 1516: titanium and tungsten carbide are exceptionally difficult or impossible for standard ring cutters';
