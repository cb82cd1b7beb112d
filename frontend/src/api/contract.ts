/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'a354b8dda085';
