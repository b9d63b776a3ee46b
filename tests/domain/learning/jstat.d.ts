/** jStat has no types of its own; these are the parts that the checks use. */
declare module 'jstat' {
  const jstat: {
    normal: { inv(p: number, mean: number, sd: number): number }
    binomial: { pdf(k: number, n: number, p: number): number }
    mean(values: readonly number[]): number
    /** Linear between the nearest ranks, as Hyndman and Fan's definition 7. */
    percentile(values: readonly number[], k: number): number
  }
  export default jstat
}
