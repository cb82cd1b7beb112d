/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '077ff9814d71';
