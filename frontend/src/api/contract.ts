/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'a8ee1a551212';
