"""Trees around the house, shades by the clock, the sun by its angle; what comes after a measure is bought."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op


revision = '0003'
down_revision = '0002'
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table('tree_stand',
    sa.Column('name', sa.String(), nullable=False),
    sa.Column('from_azimuth_deg', sa.Double(), nullable=False),
    sa.Column('to_azimuth_deg', sa.Double(), nullable=False),
    sa.Column('altitude_deg', sa.Double(), nullable=False),
    sa.Column('share_in_leaf', sa.Double(), nullable=False),
    sa.Column('share_bare', sa.Double(), nullable=True),
    sa.Column('leaf_from_month', sa.Integer(), nullable=True),
    sa.Column('leaf_to_month', sa.Integer(), nullable=True),
    sa.Column('source', sa.String(), nullable=False),
    sa.Column('id', sa.Integer(), nullable=False),
    sa.PrimaryKeyConstraint('id', name=op.f('pk_tree_stand'))
    )
    op.add_column('opening', sa.Column('shgc_by_angle', sa.JSON(none_as_null=True), nullable=True))
    op.add_column('opening', sa.Column('shade_from_hour', sa.Integer(), nullable=True))
    op.add_column('opening', sa.Column('shade_to_hour', sa.Integer(), nullable=True))
    op.add_column('opening', sa.Column('shade_from_month', sa.Integer(), nullable=True))
    op.add_column('opening', sa.Column('shade_to_month', sa.Integer(), nullable=True))
    op.create_table('later_figures',
    sa.Column('measure_id', sa.Integer(), nullable=False),
    sa.Column('life_years', sa.Integer(), nullable=True),
    sa.Column('life_is', sa.String(40), nullable=False),
    sa.Column('renewal_cents', sa.Integer(), nullable=True),
    sa.Column('renewal_is', sa.String(40), nullable=False),
    sa.Column('upkeep_cents', sa.Integer(), nullable=True),
    sa.Column('upkeep_is', sa.String(40), nullable=False),
    sa.Column('ended_upkeep_cents', sa.Integer(), nullable=True),
    sa.Column('ended_upkeep_is', sa.String(40), nullable=False),
    sa.Column('instead_due_on', sa.Date(), nullable=True),
    sa.Column('instead_life_years', sa.Integer(), nullable=True),
    sa.Column('instead_life_is', sa.String(40), nullable=False),
    sa.Column('source', sa.String(), nullable=False),
    sa.Column('as_of', sa.Date(), nullable=True),
    sa.Column('id', sa.Integer(), nullable=False),
    sa.CheckConstraint("(life_years IS NULL) = (life_is <> 'known')", name=op.f('ck_later_figures_life_years_and_word')),
    sa.CheckConstraint("(renewal_cents IS NULL) = (renewal_is <> 'known')", name=op.f('ck_later_figures_renewal_cents_and_word')),
    sa.CheckConstraint("(upkeep_cents IS NULL) = (upkeep_is <> 'known')", name=op.f('ck_later_figures_upkeep_cents_and_word')),
    sa.CheckConstraint("(ended_upkeep_cents IS NULL) = (ended_upkeep_is <> 'known')", name=op.f('ck_later_figures_ended_upkeep_cents_and_word')),
    sa.CheckConstraint("(instead_life_years IS NULL) = (instead_life_is <> 'known')", name=op.f('ck_later_figures_instead_life_years_and_word')),
    sa.ForeignKeyConstraint(['measure_id'], ['measure.id'], name=op.f('fk_later_figures_measure_id_measure')),
    sa.PrimaryKeyConstraint('id', name=op.f('pk_later_figures')),
    sa.UniqueConstraint('measure_id', name=op.f('uq_later_figures_measure_id'))
    )
    op.add_column('reservation', sa.Column('answered_on', sa.Date(), nullable=True))
    op.add_column('reservation', sa.Column('answer', sa.String(), server_default='', nullable=False))
    op.add_column('reservation', sa.Column('appeal_by', sa.Date(), nullable=True))
    op.add_column('reservation', sa.Column('appealed_on', sa.Date(), nullable=True))
    op.add_column('surface', sa.Column('passage_area_m2', sa.Double(), nullable=True))
