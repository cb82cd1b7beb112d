/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '348923ea62a8';
