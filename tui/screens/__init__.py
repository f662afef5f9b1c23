"""The screens of the app, one question to the person each."""
