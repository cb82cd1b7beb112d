/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'd54ee1b14382';
