"""Lives here: words made ready to be read: mishearings put right, stops set, orders and the owner's story set apart.

Never here: a finding.
"""
