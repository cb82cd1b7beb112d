/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'f774173a67a4';
