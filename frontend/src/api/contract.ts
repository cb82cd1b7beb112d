/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = 'f0c796d67d5e';
