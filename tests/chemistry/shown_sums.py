"""Redo a sum from its working, with nothing but what a reader sees."""


def redo(working):
    expression = working.formula.partition(" = ")[2].replace("×", "*")
    for given in sorted(working.inputs, key=lambda given: -len(given.name)):
        expression = expression.replace(given.name, repr(given.value))
    return eval(expression, {"__builtins__": {"max": max}})
