/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'f4d9584061a1';
