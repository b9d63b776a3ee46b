/** What making an address answers: the address, told once, or why there is none. Plain data: it crosses to the browser. */
export type AddressState = { address: string | null; problem: string | null }

export const NO_ADDRESS: AddressState = { address: null, problem: null }
