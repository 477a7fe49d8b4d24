"""
A Kalman filter of five figures in plain floats: water, salt, the drying factor, the hydrometer's offset and acid.

It knows no events and no chemistry: `bath` says what each event does to the five figures and what each reading should
have shown. Fifteen floats hold the symmetric covariance; the letters w, s, f, o, a stand for the five figures in that
order. Written out, it replays a log many times faster than the matrices of a numerical library. A bath whose acid is
known for certain, as of one that has none, has no error to share with it, and its part is skipped.

Source: the extended Kalman filter, as in Bar-Shalom, Li and Kirubarajan,
Estimation with Applications to Tracking and Navigation, 2001, chapters 5 and 10, from memory.
"""

from collections.abc import Sequence

# the upper triangle row by row: ww, ws, wf, wo, wa, ss, sf, so, sa, ff, fo, fa, oo, oa, aa
Variances = tuple[
    float, float, float, float, float, float, float, float, float, float, float, float, float, float, float
]

# what a reading should show; its slopes by water, salt, offset and acid; the variance of the reading itself
Model = tuple[float, float, float, float, float, float]


class FilterState:
    """The five figures and their covariance, moved on in place."""

    __slots__ = (
        *("water_g", "salt_g", "factor", "offset", "acid_g"),
        *("ww", "ws", "wf", "wo", "wa", "ss", "sf", "so", "sa", "ff", "fo", "fa", "offset_variance", "oa", "aa"),
    )

    def __init__(
        self, water_g: float, salt_g: float, factor: float, offset: float, acid_g: float, variances: Variances
    ) -> None:
        self.water_g, self.salt_g, self.factor, self.offset, self.acid_g = water_g, salt_g, factor, offset, acid_g
        self.ww, self.ws, self.wf, self.wo, self.wa, self.ss, self.sf, self.so, self.sa = variances[:9]
        self.ff, self.fo, self.fa, self.offset_variance, self.oa, self.aa = variances[9:]

    def begin_anew(self) -> None:
        """No bath yet; what was learned of the room and of the hydrometer stays."""
        self.water_g = self.salt_g = 0.0
        # the links go with the masses: a new bath has no part in the errors of the old one
        self.ww = self.ws = self.ss = self.wf = self.wo = self.sf = self.so = 0.0
        self.know_no_acid()

    def know_no_acid(self) -> None:
        """There is none, for certain: no error is left that it could share."""
        self.acid_g = self.wa = self.sa = self.fa = self.oa = self.aa = 0.0

    def add(self, water_g: float, salt_g: float, *, ww: float = 0.0, ws: float = 0.0, ss: float = 0.0) -> None:
        """Something goes in or out whose amount does not depend on the estimate."""
        self.water_g += water_g
        self.salt_g += salt_g
        self.ww += ww
        self.ws += ws
        self.ss += ss

    @property
    def variances(self) -> Variances:
        # fmt: off
        return (
            self.ww, self.ws, self.wf, self.wo, self.wa, self.ss, self.sf, self.so, self.sa, self.ff, self.fo, self.fa,
            self.offset_variance, self.oa, self.aa,
        )
        # fmt: on

    def draw(self, amount: float, whole: float, slopes: Sequence[float], held_salt_g: float, variance: float) -> None:
        """
        So much of a whole goes, and its share of water, salt and acid with it.

        slopes: of the whole by water, salt and acid. variance: of the amount.
        The whole depends on the estimate, so what is left has the slopes kept + share × u v': u what is in one of the
        whole, v the slopes; P becomes kept² P + kept (P v u' + u v' P) + (v' P v + variance) u u', the share in v.
        """
        share, u_w, u_s = amount / whole, self.water_g / whole, held_salt_g / whole
        kept = 1.0 - share
        v_w, v_s, v_a = share * slopes[0], share * slopes[1], share * slopes[2]
        p_w = self.ww * v_w + self.ws * v_s
        p_s = self.ws * v_w + self.ss * v_s
        p_f = self.wf * v_w + self.sf * v_s
        p_o = self.wo * v_w + self.so * v_s
        if self.acid_g or self.aa:
            u_a = self.acid_g / whole
            p_w += self.wa * v_a
            p_s += self.sa * v_a
            p_f += self.fa * v_a
            p_o += self.oa * v_a
            p_a = self.wa * v_w + self.sa * v_s + self.aa * v_a
            total = v_w * p_w + v_s * p_s + v_a * p_a + variance
            self.wa = kept * (kept * self.wa + p_w * u_a + p_a * u_w) + total * u_w * u_a
            self.sa = kept * (kept * self.sa + p_s * u_a + p_a * u_s) + total * u_s * u_a
            self.aa = kept * (kept * self.aa + 2 * p_a * u_a) + total * u_a * u_a
            self.fa = kept * self.fa + p_f * u_a
            self.oa = kept * self.oa + p_o * u_a
            self.acid_g -= amount * u_a
        else:
            total = v_w * p_w + v_s * p_s + variance
        self.ww = kept * (kept * self.ww + 2 * p_w * u_w) + total * u_w * u_w
        self.ws = kept * (kept * self.ws + p_w * u_s + p_s * u_w) + total * u_w * u_s
        self.ss = kept * (kept * self.ss + 2 * p_s * u_s) + total * u_s * u_s
        self.wf, self.sf = kept * self.wf + p_f * u_w, kept * self.sf + p_f * u_s
        self.wo, self.so = kept * self.wo + p_o * u_w, kept * self.so + p_o * u_s
        self.water_g -= amount * u_w
        self.salt_g -= amount * u_s

    def draw_saturated(self, amount: float, whole: float, held_salt_g: float, variance: float) -> None:
        """The same of a liquid over crystals: each litre of it is alike, however much salt lies below; acid thins."""
        water, salt, acid, kept = self.water_g / whole, held_salt_g / whole, self.acid_g / whole, 1.0 - amount / whole
        self.add(-amount * water, -amount * salt, ww=water * water * variance, ss=salt * salt * variance)
        self.ws += water * salt * variance
        self.acid_g -= amount * acid
        self.wa = kept * self.wa + water * acid * variance
        self.sa = kept * self.sa + salt * acid * variance
        self.aa = kept * kept * self.aa + acid * acid * variance
        self.fa *= kept
        self.oa *= kept

    def variance_of(self, model: Model) -> float:
        """How far a reading may stray from what it should show: the estimate's own variance and the reading's."""
        _, w, s, o, a, variance = model
        by_water = w * (w * self.ww + 2 * (s * self.ws + o * self.wo + a * self.wa))
        by_acid = a * (a * self.aa + 2 * (s * self.sa + o * self.oa))
        return by_water + s * (s * self.ss + 2 * o * self.so) + o * o * self.offset_variance + by_acid + variance

    def observe(self, reading: float, model: Model, learned_variance: float | None = None) -> None:
        """
        Let one reading speak.

        learned_variance: by which the spread shrinks, if not by the reading's own: inf where it stays as it is.
        """
        value, w, s, o, a, variance = model
        b_w = self.ww * w + self.ws * s + self.wo * o
        b_s = self.ws * w + self.ss * s + self.so * o
        b_f = self.wf * w + self.sf * s + self.fo * o
        b_o = self.wo * w + self.so * s + self.offset_variance * o
        own = w * b_w + s * b_s + o * b_o
        if self.aa:
            b_a = self.wa * w + self.sa * s + self.oa * o
            b_w += self.wa * a
            b_s += self.sa * a
            b_f += self.fa * a
            b_o += self.oa * a
            own += a * (2 * b_a + self.aa * a)
            b_a += self.aa * a
        told = (reading - value) / (own + variance)
        # all figures move: a level that is off by a little also tells of drying and of the glass
        self.water_g += b_w * told
        self.salt_g += b_s * told
        self.factor += b_f * told
        self.offset += b_o * told

        total = own + (variance if learned_variance is None else learned_variance)
        if self.aa:
            k_a = b_a / total
            self.acid_g += b_a * told
            self.aa -= k_a * b_a
            self.wa -= b_w * k_a
            self.sa -= b_s * k_a
            self.fa -= b_f * k_a
            self.oa -= b_o * k_a
        k_w, k_s, k_f, k_o = b_w / total, b_s / total, b_f / total, b_o / total
        # P - k h P: for the best k the Joseph form comes to the same, up to rounding
        self.ww -= k_w * b_w
        self.ss -= k_s * b_s
        self.ff -= k_f * b_f
        self.offset_variance -= k_o * b_o
        self.ws -= b_w * k_s
        self.wf -= b_w * k_f
        self.wo -= b_w * k_o
        self.sf -= b_s * k_f
        self.so -= b_s * k_o
        self.fo -= b_f * k_o
