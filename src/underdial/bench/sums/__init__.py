"""Lives here: the bench sums: their forms and answers, drawings of what is made, what goes from them into the record.

Never here: a formula.
"""
