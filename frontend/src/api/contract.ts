/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '453e17406806';
