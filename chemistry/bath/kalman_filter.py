"""
A Kalman filter of four figures in plain floats: water, salt, the drying factor and the hydrometer's offset.

It knows no events and no chemistry: `bath` says what each event does to the four figures and what each reading should
have shown. Ten floats hold the symmetric covariance; the letters w, s, f, o stand for the four figures in that order.
Written out, it replays a log many times faster than the matrices of a numerical library.

Source: the extended Kalman filter with the Joseph form of its update, as in Bar-Shalom, Li and Kirubarajan,
Estimation with Applications to Tracking and Navigation, 2001, chapters 5 and 10, from memory.
"""

Covariance = tuple[
    tuple[float, float, float, float],
    tuple[float, float, float, float],
    tuple[float, float, float, float],
    tuple[float, float, float, float],
]


# what a reading should show; its slopes by water, salt and offset; the variance of the reading itself
Model = tuple[float, float, float, float, float]


class FilterState:
    """The four figures and their covariance, moved on in place."""

    __slots__ = (
        "factor",
        "ff",
        "fo",
        "offset",
        "offset_variance",
        "salt_g",
        "sf",
        "so",
        "ss",
        "water_g",
        "wf",
        "wo",
        "ws",
        "ww",
    )

    def __init__(self, water_g: float, salt_g: float, factor: float, offset: float, covariance: Covariance) -> None:
        self.water_g, self.salt_g, self.factor, self.offset = water_g, salt_g, factor, offset
        (
            (self.ww, self.ws, self.wf, self.wo),
            (_, self.ss, self.sf, self.so),
            (_, _, self.ff, self.fo),
            (_, _, _, self.offset_variance),
        ) = covariance

    @property
    def covariance(self) -> Covariance:
        ws, wf, wo, sf, so, fo = self.ws, self.wf, self.wo, self.sf, self.so, self.fo
        return (self.ww, ws, wf, wo), (ws, self.ss, sf, so), (wf, sf, self.ff, fo), (wo, so, fo, self.offset_variance)

    def begin_anew(self) -> None:
        """No bath yet; what was learned of the room and of the hydrometer stays."""
        self.water_g = self.salt_g = 0.0
        # the links go with the masses: a new bath has no part in the errors of the old one
        self.ww = self.ws = self.ss = self.wf = self.wo = self.sf = self.so = 0.0

    def add(self, water_g: float, salt_g: float, *, ww: float = 0.0, ws: float = 0.0, ss: float = 0.0) -> None:
        """Something goes in or out whose amount does not depend on the estimate."""
        self.water_g += water_g
        self.salt_g += salt_g
        self.ww += ww
        self.ws += ws
        self.ss += ss

    def predict_drying(self, loss_g: float, ww: float, wf: float, ff: float, offset_variance: float) -> None:
        """Water goes by the drying factor times the loss expected of an average room; all four figures grow vaguer."""
        self.water_g -= loss_g * self.factor
        # in this order: each line needs what the lines below it still change
        self.ww += loss_g * (loss_g * self.ff - 2 * self.wf) + ww
        self.ws -= loss_g * self.sf
        self.wf += wf - loss_g * self.ff
        self.wo -= loss_g * self.fo
        self.ff += ff
        self.offset_variance += offset_variance

    def apply_jacobian(self, ww: float, ws: float, sw: float, ss: float) -> None:
        """Carry the covariance through the slopes of the new water and salt by the old: ws is d(water)/d(salt)."""
        # kept, because each new entry needs all three as they were
        old_ww, old_ws, old_ss = self.ww, self.ws, self.ss
        self.ww = ww * ww * old_ww + 2 * ww * ws * old_ws + ws * ws * old_ss
        self.ws = ww * sw * old_ww + (ww * ss + ws * sw) * old_ws + ws * ss * old_ss
        self.ss = sw * sw * old_ww + 2 * sw * ss * old_ws + ss * ss * old_ss
        self.wf, self.sf = ww * self.wf + ws * self.sf, sw * self.wf + ss * self.sf
        self.wo, self.so = ww * self.wo + ws * self.so, sw * self.wo + ss * self.so

    def variance_of(self, model: Model) -> float:
        """How far a reading may stray from what it should show: the estimate's own variance and the reading's."""
        _, w, s, o, variance = model
        by_water = w * (w * self.ww + 2 * (s * self.ws + o * self.wo))
        return by_water + s * (s * self.ss + 2 * o * self.so) + o * o * self.offset_variance + variance

    def observe(self, reading: float, model: Model) -> None:
        """Let one reading speak."""
        value, w, s, o, variance = model
        b_w = self.ww * w + self.ws * s + self.wo * o
        b_s = self.ws * w + self.ss * s + self.so * o
        b_f = self.wf * w + self.sf * s + self.fo * o
        b_o = self.wo * w + self.so * s + self.offset_variance * o
        total = w * b_w + s * b_s + o * b_o + variance
        # all four figures move: a level that is off by a little also tells of drying and of the glass
        k_w, k_s, k_f, k_o = b_w / total, b_s / total, b_f / total, b_o / total

        surprise = reading - value
        self.water_g += k_w * surprise
        self.salt_g += k_s * surprise
        self.factor += k_f * surprise
        self.offset += k_o * surprise

        # Joseph form, (1 - k h) P (1 - k h)' + k R k', multiplied out: each entry is P - k b' - b k' + k (h b + R) k'
        self.ww += k_w * (total * k_w - 2 * b_w)
        self.ss += k_s * (total * k_s - 2 * b_s)
        self.ff += k_f * (total * k_f - 2 * b_f)
        self.offset_variance += k_o * (total * k_o - 2 * b_o)
        self.ws += k_w * (total * k_s - b_s) - b_w * k_s
        self.wf += k_w * (total * k_f - b_f) - b_w * k_f
        self.wo += k_w * (total * k_o - b_o) - b_w * k_o
        self.sf += k_s * (total * k_f - b_f) - b_s * k_f
        self.so += k_s * (total * k_o - b_o) - b_s * k_o
        self.fo += k_f * (total * k_o - b_o) - b_f * k_o
