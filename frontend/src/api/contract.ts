/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '7e71c4b6e492';
