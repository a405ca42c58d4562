DROP TABLE account_answer;
DROP TABLE signing_key;
DROP TABLE refresh_token;
DROP TABLE sign_in;
DROP TABLE guess;
DROP TABLE account;
