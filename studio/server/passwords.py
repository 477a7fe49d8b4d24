from django.contrib.auth.hashers import Argon2PasswordHasher


class SmallMachineArgon2(Argon2PasswordHasher):
    """
    Argon2id with 19 MiB, two passes and one lane, so that a small machine can check eight sign-ins at once.

    Source: OWASP Password Storage Cheat Sheet, Argon2id minimum (from memory).
    """

    time_cost = 2
    memory_cost = 19_456  # KiB
    parallelism = 1
