/** The contract that this app is built for; written by write_contract.py. */
export const CONTRACT = '96cc59c90eb8';
