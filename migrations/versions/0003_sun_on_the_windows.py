"""Trees around the house, shades drawn by the clock, the sun through a window by its angle."""

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
    op.add_column('reservation', sa.Column('answered_on', sa.Date(), nullable=True))
    op.add_column('reservation', sa.Column('answer', sa.String(), server_default='', nullable=False))
    op.add_column('reservation', sa.Column('appeal_by', sa.Date(), nullable=True))
    op.add_column('reservation', sa.Column('appealed_on', sa.Date(), nullable=True))
