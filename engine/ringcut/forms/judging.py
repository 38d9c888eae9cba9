"""Which file judges which form."""

from __future__ import annotations

from ringcut.forms import elapsed, exclude, include, keep, limit, need, order, pattern, record, repeat
from ringcut.forms.instance import Context, Instance
from ringcut.language import ir


def instances(context: Context) -> list[Instance]:
    """Every instance of a rule in its view, in a stable order. No instance: the rule does not apply."""
    match context.rule.form:
        case ir.Order() as form:
            return order.judge(form, context)
        case ir.Need() as form:
            return need.judge(form, context)
        case ir.Keep() as form:
            return keep.judge(form, context)
        case ir.Include() as form:
            return include.judge(form, context)
        case ir.Exclude() as form:
            return exclude.judge(form, context)
        case ir.Limit() as form:
            return limit.judge(form, context)
        case ir.Elapsed() as form:
            return elapsed.judge(form, context)
        case ir.Repeat() as form:
            return repeat.judge(form, context)
        case ir.Record() as form:
            return record.judge(form, context)
        case ir.Pattern() as form:
            return pattern.judge(form, context)
