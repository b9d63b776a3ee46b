/** jStat has no types of its own; these are the parts that the checks use. */
declare module 'jstat' {
  const jstat: {
    normal: { inv(p: number, mean: number, sd: number): number }
    binomial: { pdf(k: number, n: number, p: number): number }
    mean(values: readonly number[]): number
    quantiles(values: readonly number[], parts: readonly number[], alphap: number, betap: number): number[]
  }
  export default jstat
}
