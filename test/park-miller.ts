/** Even numbers between 0 and 1, the same for one seed: Lehmer's generator (Park and Miller, Comm. ACM 31, 1988). */
export function parkMiller(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}
